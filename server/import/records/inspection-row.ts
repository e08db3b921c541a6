import type { Inspection } from '../../schemas/inspection.ts';
import { DAMAGE_KINDS, type InspectionMethod, type Severity } from '../../schemas/words.ts';
import { addYears } from '../dates.ts';
import type { RowReader } from '../row-reader.ts';
import { type RowContext, refuseFuture, refuseRepeated, requiredSegment } from './row-context.ts';
import { OLDEST_SEAL_YEARS } from './seal-row.ts';

const MOST_PHOTOGRAPHS = 50;
const LONGEST_PHOTOGRAPH_NAME = 300;

/** A row of an inspections file. Without an id, the key is segment, day and method; without a method, joint length. */
export function readInspection(row: RowReader, context: RowContext): Inspection | null {
  const segmentId = requiredSegment(row, context);
  const inspectedOn = row.required('inspectedOn', row.day('inspectedOn'), 'a day as YYYY-MM-DD');
  const method = readMethod(row);
  const damagedShare = row.required(
    'damagedShare',
    row.number('damagedShare'),
    'the share of length damaged, 0 if none',
  );
  const givenId = row.text('id');
  const rest = {
    inspector: row.text('inspector'),
    damageShares: readDamageShares(row),
    severity: row.word<Severity>('severity'),
    notes: row.text('notes'),
    photographs: readPhotographs(row),
  };
  refuseFuture(row, context, 'inspectedOn', inspectedOn);
  if (segmentId !== null && inspectedOn !== null) checkAgainstSeals(row, context, segmentId, inspectedOn);
  if (segmentId === null || inspectedOn === null || damagedShare === null) return null;
  const id = givenId ?? `${segmentId}@${inspectedOn}@${method}`;
  refuseRepeated(row, context, 'inspections', givenId === null ? 'inspectedOn' : 'id', id);
  const source = { sourceFile: context.file, sourceRow: row.row };
  return { id, segmentId, inspectedOn, method, damagedShare, ...rest, ...source };
}

function readMethod(row: RowReader): InspectionMethod {
  const method = row.word<InspectionMethod>('method');
  if (method === null && row.raw('method') === null) {
    row.note('No method is given, so the damaged share was taken as a share of the joint length');
  }
  return method ?? 'joint-length';
}

function readDamageShares(row: RowReader): Inspection['damageShares'] {
  const shares: Inspection['damageShares'] = {};
  for (const kind of DAMAGE_KINDS) {
    const share = row.has(kind) ? row.number(kind) : null;
    if (share !== null) shares[kind] = share;
  }
  return shares;
}

/** Names of photographs, set off by ; or |. */
function readPhotographs(row: RowReader): string[] {
  if (!row.has('photographs') || row.raw('photographs') === null) return [];
  const names = String(row.raw('photographs'))
    .split(/[;|\n]/)
    .map((name) => name.trim())
    .filter((name) => name !== '');
  if (names.length > MOST_PHOTOGRAPHS) {
    row.refuse('photographs', `${names.length} names`, `at most ${MOST_PHOTOGRAPHS} names set off by ;`);
  }
  const long = names.find((name) => name.length > LONGEST_PHOTOGRAPH_NAME || /[\p{Cc}\p{Cs}]/u.test(name));
  if (long) row.refuse('photographs', long, `names of at most ${LONGEST_PHOTOGRAPH_NAME} plain characters`);
  return names;
}

function checkAgainstSeals(row: RowReader, { known }: RowContext, segmentId: string, inspectedOn: string): void {
  const seals = known.sealsOf(segmentId);
  if (seals.length === 0) {
    row.note('Inspections of segments without any seal on record were kept, but say nothing on service life');
    return;
  }
  let first = seals[0];
  let inPlace: typeof first | null = null;
  for (const seal of seals) {
    if (seal.installedFrom < first.installedFrom) first = seal;
    const begun = seal.installedFrom <= inspectedOn;
    if (begun && (!inPlace || seal.installedFrom > inPlace.installedFrom)) inPlace = seal;
  }
  if (!inPlace) {
    const hint = `Its first seal was installed ${first.installedFrom}.`;
    row.refuse('inspectedOn', inspectedOn, 'a day on or after the first installation', hint);
  } else if (inspectedOn > addYears(inPlace.installedTo, OLDEST_SEAL_YEARS)) {
    const hint = `The seal was installed ${inPlace.installedTo}. Is a reseal missing?`;
    row.refuse('inspectedOn', inspectedOn, `a seal of at most ${OLDEST_SEAL_YEARS} years`, hint);
  }
}
