import { pick } from '../numeric/pick-rows.ts';
import { daysBetween } from '../survival/observation.ts';
import type { ObservedInspection, ObservedSeal, SealObservation } from '../survival/observation-records.ts';
import type { ShareReadings } from './condition.ts';

const DAYS_PER_YEAR = 365.25;

/** One damaged share of one seal, by the network's method. */
export interface ShareReading {
  /** From the middle of the installation range. */ readonly ageYears: number;
  /** 0 where the installation day is known. */ readonly ageSdYears: number;
  readonly share: number;
  readonly inspector: string | null;
}

/**
 * Damaged shares of one seal. Records that contradict each other give none: which of them is wrong is not known.
 * @param method the network's inspection method
 */
export function sealReadings(
  seal: Pick<ObservedSeal, 'installedFrom' | 'installedTo'>,
  { looks, rule }: Pick<SealObservation, 'looks' | 'rule'>,
  inspections: readonly ObservedInspection[],
  method: string,
): ShareReading[] {
  if (looks.length === 0 || rule.startsWith('contradictory') || rule === 'impossible-records') return [];
  // An even spread over a range has this standard deviation.
  const ageSdYears = daysBetween(seal.installedFrom, seal.installedTo) / Math.sqrt(12) / DAYS_PER_YEAR;
  return looks.map(({ onDay, ageDays, share }) => {
    const taken = inspections.find(
      (each) => each.inspectedOn === onDay && each.method === method && each.damagedShare === share,
    );
    return { ageYears: ageDays / DAYS_PER_YEAR, ageSdYears, share, inspector: taken?.inspector ?? null };
  });
}

/** Everybody who took a reading, in alphabetical order, so that it does not matter which segment came first. */
export function inspectorNames(lists: Iterable<readonly ShareReading[]>): string[] {
  const names = new Set<string>();
  for (const list of lists) for (const { inspector } of list) if (inspector !== null) names.add(inspector);
  return [...names].sort();
}

/** Readings as the condition model takes them. One whose inspector is not among `inspectors` is nobody's. */
export function packReadings(
  lists: readonly (readonly ShareReading[])[],
  inspectors: readonly string[],
): Required<ShareReadings> {
  const count = lists.reduce((sum, list) => sum + list.length, 0);
  const places = new Map(inspectors.map((name, k) => [name, k]));
  const packed = {
    readingStart: new Int32Array(lists.length + 1),
    readingAge: new Float64Array(count),
    readingShare: new Float64Array(count),
    readingInspector: new Int32Array(count).fill(-1),
    readingAgeSd: new Float64Array(count),
  };
  let next = 0;
  for (const [i, list] of lists.entries()) {
    for (const { ageYears, ageSdYears, share, inspector } of list) {
      packed.readingAge[next] = ageYears;
      packed.readingAgeSd[next] = ageSdYears;
      packed.readingShare[next] = share;
      if (inspector !== null) packed.readingInspector[next] = places.get(inspector) ?? -1;
      next++;
    }
    packed.readingStart[i + 1] = next;
  }
  return packed;
}

/** The readings of some rows, in the order of `rows`; a row may come twice. */
export function pickReadings(readings: ShareReadings, rows: ArrayLike<number>): ShareReadings {
  const { readingStart, readingAge, readingShare, readingInspector, readingAgeSd } = readings;
  const start = new Int32Array(rows.length + 1);
  for (let k = 0; k < rows.length; k++) start[k + 1] = start[k] + readingStart[rows[k] + 1] - readingStart[rows[k]];
  const from = new Int32Array(start[rows.length]);
  for (let k = 0; k < rows.length; k++)
    for (let r = start[k]; r < start[k + 1]; r++) from[r] = readingStart[rows[k]] + r - start[k];
  return {
    readingStart: start,
    readingAge: pick(readingAge, from),
    readingShare: pick(readingShare, from),
    readingInspector: Int32Array.from(from, (r) => readingInspector[r]),
    ...(readingAgeSd ? { readingAgeSd: pick(readingAgeSd, from) } : {}),
  };
}
