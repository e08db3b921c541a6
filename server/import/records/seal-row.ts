import type { Seal } from '../../schemas/seal.ts';
import type { Preparation, RemovalReason, SealantClass } from '../../schemas/words.ts';
import { addYears, type Period } from '../dates.ts';
import type { RowReader } from '../row-reader.ts';
import { type RowContext, refuseFuture, refuseRepeated, requiredSegment } from './row-context.ts';

/** No sealant is on record as lasting so long: an older date is a slip, or a reseal is missing. */
export const OLDEST_SEAL_YEARS = 60;

/** A row of a seals file. Without an id, the key is the segment and the first possible day of installation. */
export function readSeal(row: RowReader, context: RowContext): Seal | null {
  const segmentId = requiredSegment(row, context);
  const hint = 'If the class was not recorded, write unknown.';
  const sealantClass = row.required('sealantClass', row.word<SealantClass>('sealantClass'), 'a sealant class', hint);
  const installed = readInstalled(row);
  const givenId = row.text('id');
  const removal = readRemoval(row);
  const rest = {
    specification: row.text('specification'),
    installedAtC: row.number('installedAtC'),
    widthMm: row.number('widthMm'),
    recessMm: row.number('recessMm'),
    beadDepthMm: row.number('beadDepthMm'),
    backerRodDiameterMm: row.number('backerRodDiameterMm'),
    preparation: row.word<Preparation>('preparation') ?? 'unknown',
    lot: row.text('lot'),
  };
  if (installed) checkDates(row, context, installed, removal.removedOn);
  if (segmentId === null || sealantClass === null || installed === null) return null;
  const id = givenId ?? `${segmentId}@${installed.from}`;
  refuseRepeated(row, context, 'seals', givenId === null ? 'installed' : 'id', id);
  const dates = { installedFrom: installed.from, installedTo: installed.to };
  if (row.problems.length === 0) noteOverlap(row, context, segmentId, { id, ...dates, removedOn: removal.removedOn });
  const source = { sourceFile: context.file, sourceRow: row.row };
  return { id, segmentId, sealantClass, ...dates, ...rest, ...removal, ...source };
}

const INSTALLED_HINT = 'A year (2004) or a range (2003/2006) is enough.';

/** `installed`, or `installedFrom` with an optional `installedTo`. */
function readInstalled(row: RowReader): Period | null {
  if (row.raw('installedFrom') === null) {
    const installed = row.period('installed');
    if (installed || row.raw('installed') !== null) return installed;
    return row.refuse('installed', null, 'the date of installation', INSTALLED_HINT);
  }
  const first = row.period('installedFrom');
  const last = row.raw('installedTo') === null ? first : row.period('installedTo');
  if (!first || !last) return null;
  if (last.to >= first.from) return { from: first.from, to: last.to };
  return row.refuse('installedTo', last.to, 'a day on or after installedFrom', `installedFrom is ${first.from}.`);
}

function readRemoval(row: RowReader): { removedOn: string | null; removalReason: RemovalReason | null } {
  const removedOn = row.day('removedOn');
  const reason = row.word<RemovalReason>('removalReason');
  if (reason !== null && row.raw('removedOn') === null) {
    row.refuse(
      'removedOn',
      null,
      'the day of removal when a reason is given',
      'Leave the reason empty while it is in place.',
    );
  }
  return { removedOn, removalReason: removedOn === null ? null : (reason ?? 'unknown') };
}

function checkDates(row: RowReader, context: RowContext, installed: Period, removedOn: string | null): void {
  refuseFuture(row, context, 'installed', installed.from);
  refuseFuture(row, context, 'removedOn', removedOn, 'Leave it empty while the seal is in place.');
  if (removedOn !== null && removedOn < installed.from) {
    row.refuse('removedOn', removedOn, 'a day on or after installation', `It was installed ${installed.from}.`);
  }
  const oldest = addYears(installed.to, OLDEST_SEAL_YEARS);
  if ((removedOn ?? context.known.context.today) > oldest) {
    const expected = `an installation at most ${OLDEST_SEAL_YEARS} years before the removal, or before today`;
    row.refuse('installed', installed.to, expected, 'Has it been resealed since?');
  }
}

interface Generation {
  readonly id: string;
  readonly installedFrom: string;
  readonly installedTo: string;
  readonly removedOn: string | null;
}

/** Two seals cannot fill one joint at a time; the earlier one ends at the latest when the later one begins. */
function noteOverlap(row: RowReader, { known }: RowContext, segmentId: string, seal: Generation): void {
  const clash = known.sealsOf(segmentId).some((other) => {
    if (other.id === seal.id) return false;
    const [first, second] = other.installedFrom <= seal.installedFrom ? [other, seal] : [seal, other];
    return first.removedOn !== null && first.removedOn > second.installedTo;
  });
  if (clash) row.note('A seal was removed after the next one was installed');
}
