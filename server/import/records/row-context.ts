import type { RecordKind } from '../../schemas/words.ts';
import type { GeometryRules } from '../geometry-check.ts';
import type { KnownRecords } from '../known-records.ts';
import type { RowReader } from '../row-reader.ts';

/** What a row is checked against besides its own cells. */
export interface RowContext {
  readonly file: string;
  readonly known: KnownRecords;
  readonly geometryRules: GeometryRules;
}

/** A key that the row must have. */
export const requiredKey = (row: RowReader, field: string): string | null =>
  row.required(field, row.text(field), 'a key of 1 to 64 characters');

/** Refuses a key that this load already has. */
export function refuseRepeated(
  row: RowReader,
  context: RowContext,
  kind: RecordKind,
  field: string,
  key: string,
): void {
  const first = context.known.firstSeen(kind, key);
  if (!first) return;
  const hint = `It was first met in ${first.file} row ${first.row}.`;
  row.refuse(field, key, 'a key that comes once in a load', hint);
}

/** A segment that the load or the store has. */
export function requiredSegment(row: RowReader, { known }: RowContext): string | null {
  const id = requiredKey(row, 'segmentId');
  if (id === null || known.hasSegment(id)) return id;
  return row.refuse(
    'segmentId',
    id,
    'the id of a segment',
    unknownHint(id, 'segments', (key) => known.hasSegment(key)),
  );
}

/** What may have gone wrong with a key that nothing has. */
export function unknownHint(id: string, plural: string, has: (key: string) => boolean): string {
  for (let zeros = 1; zeros <= 8; zeros++) {
    const padded = '0'.repeat(zeros) + id;
    if (has(padded)) return `There is ${padded}: did a spreadsheet drop leading zeros?`;
  }
  const found = [id.toUpperCase(), id.toLowerCase()].find(has);
  return found
    ? `There is ${found}: write the key as it is there.`
    : `Load its ${plural} file first, or together with this one; there the row may have been refused.`;
}

/** Refuses a day that is still to come. */
export function refuseFuture(
  row: RowReader,
  { known }: RowContext,
  field: string,
  day: string | null,
  hint?: string,
): void {
  const { today } = known.context;
  if (day !== null && day > today) row.refuse(field, day, 'a day that is not in the future', hint);
}
