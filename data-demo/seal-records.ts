import { LAST_DAY } from './agency.ts';
import { type DatePrecision, inSeason, isoOf, writeDate, yearOf } from './days.ts';
import type { SealLife } from './lives.ts';
import { type Draws, openDraws } from './random.ts';
import { SPECIFICATIONS } from './sealants.ts';
import type { FacilityTimeline } from './timeline.ts';

/** A seal as the agency wrote it down. `life` is what truly happened. */
export interface SealRecord {
  readonly id: string;
  readonly segmentId: string;
  readonly writtenClass: string;
  readonly specification: string | null;
  /** YYYY-MM-DD, YYYY-MM, YYYY or YYYY/YYYY. */ readonly installed: string;
  readonly latestInstalledDay: number;
  readonly installedAtC: number | null;
  readonly widthMm: number | null;
  readonly recessMm: number | null;
  readonly beadDepthMm: number | null;
  readonly backerRodDiameterMm: number | null;
  readonly preparation: string;
  readonly lot: string | null;
  readonly removedOn: string | null;
  readonly removalReason: string | null;
  readonly removalDateMissing: boolean;
  readonly life: SealLife;
}

/**
 * Did this seal leave a record? Records of a facility begin on a day; a seal installed before it is on record only if
 * it was still in place and sound on that day. That is what delayed entry has to put right.
 */
export function leftRecord(life: SealLife, recordsFromDay: number): boolean {
  if (life.installedDay >= recordsFromDay) return true;
  const inPlace = life.removedDay === null || life.removedDay > recordsFromDay;
  return inPlace && life.installedDay + life.lifeDays > recordsFromDay;
}

/** Years up to which hot-applied sealant of unrecorded type went by an older word. */
const oldWord = (year: number): string =>
  year < 2004 ? 'rubberised asphalt' : year < 2008 ? 'hot pour' : 'hot-applied';

export function writeSeals(
  seed: number,
  timeline: FacilityTimeline,
  segmentId: string,
  lives: readonly SealLife[],
): SealRecord[] {
  const draws = openDraws(seed, 'seal-record', segmentId);
  const records: SealRecord[] = [];
  let afterMissingRemoval = false;
  for (const life of lives) {
    if (!leftRecord(life, timeline.recordsFromDay)) continue;
    const record = writeSeal(draws, segmentId, records.length + 1, life, afterMissingRemoval);
    records.push(record);
    afterMissingRemoval = record.removalDateMissing;
  }
  return records;
}

function drawPrecision(draws: Draws): DatePrecision {
  return draws.weighted([
    ['day', 40],
    ['month', 27],
    ['year', 30],
    ['range', 3],
  ]);
}

function writeSeal(draws: Draws, segmentId: string, number: number, life: SealLife, exactDate: boolean): SealRecord {
  const drawn = writeDate(life.installedDay, drawPrecision(draws), draws.integer(0, 2));
  // A vague date that would reach past the seal's own removal, or past today, was looked up.
  const precise = exactDate || drawn.latestDay >= (life.removedDay ?? LAST_DAY);
  const installed = precise ? writeDate(life.installedDay, 'day', 0) : drawn;
  const unknownClass = draws.chance(0.012);
  const recordedClass = life.sealantClass === 'hot-applied' ? oldWord(yearOf(life.installedDay)) : life.sealantClass;
  const removalDateMissing = life.removedDay !== null && draws.chance(0.005);
  const reasonUnknown = draws.chance(0.02);
  const compression = life.sealantClass === 'preformed-compression';
  const known = draws.chance(0.8);
  return {
    id: `${segmentId}/${number}`,
    segmentId,
    writtenClass: unknownClass ? 'unknown' : recordedClass,
    specification: unknownClass ? null : (SPECIFICATIONS[life.sealantClass] ?? null),
    installed: installed.text,
    latestInstalledDay: installed.latestDay,
    installedAtC: draws.chance(0.6) ? draws.integer(6, 31) : null,
    widthMm: draws.chance(0.97) ? life.widthMm : null,
    recessMm: known ? draws.integer(6, 12) : null,
    beadDepthMm: known && !compression ? Math.min(13, Math.max(6, Math.round(life.widthMm / 2))) : null,
    backerRodDiameterMm: known && !compression ? Math.round(life.widthMm * 1.25) : null,
    preparation: draws.chance(0.06) ? 'unknown' : life.preparation,
    lot: draws.chance(0.7) ? `C${yearOf(inSeason(life.installedDay))}-${draws.integer(1, 9)}` : null,
    removedOn: life.removedDay === null || removalDateMissing ? null : isoOf(life.removedDay),
    removalReason:
      removalDateMissing || life.removedDay === null ? null : reasonUnknown ? 'unknown' : life.removalReason,
    removalDateMissing,
    life,
  };
}
