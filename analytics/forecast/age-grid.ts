/** Ages, seen from one segment, at which its survival is worked out. */
export interface AgeGrid {
  /** Offsets from the planning date, years: year ends, then coarser ones to 100 years ahead. */
  readonly aheadYears: Float64Array;
  /** Year ends among them. */ readonly yearEnds: number;
  /** Index of the planning date in a segment's ages; points before it divide the time since it was last seen sound. */
  readonly nowAt: number;
  readonly length: number;
}

/** Points that divide the time between the last sound look and the planning date. */
const GAP_POINTS = 3;
const BEYOND_YEARS = [3, 6, 10, 15, 22, 32, 45, 60, 80] as const;

/**
 * @param yearLeft share of the planning year that lies ahead of the planning date, above 0, at most 1
 * @param horizonYears whole years after the planning year
 */
export function ageGrid(yearLeft: number, horizonYears: number): AgeGrid {
  if (!(yearLeft > 0 && yearLeft <= 1)) throw new RangeError(`yearLeft is ${yearLeft}; expected above 0, at most 1`);
  if (!(Number.isInteger(horizonYears) && horizonYears >= 1 && horizonYears <= 50))
    throw new RangeError(`horizonYears is ${horizonYears}; expected a whole number from 1 to 50`);
  const yearEnds = Array.from({ length: horizonYears + 1 }, (_, year) => yearLeft + year);
  const last = yearEnds[horizonYears];
  const ahead = [...yearEnds, ...BEYOND_YEARS.map((years) => last + (years * (100 - last)) / 80)];
  return {
    aheadYears: Float64Array.from(ahead),
    yearEnds: yearEnds.length,
    nowAt: GAP_POINTS,
    length: GAP_POINTS + 1 + ahead.length,
  };
}

/** Fills the ages of one segment: points in the gap, the planning date, then the points ahead. Years. */
export function segmentAgesInto(ages: Float64Array, grid: AgeGrid, soundAge: number, planningAge: number): void {
  const gap = planningAge - soundAge;
  for (let i = 0; i < GAP_POINTS; i++) ages[i] = soundAge + (gap * (i + 1)) / (GAP_POINTS + 1);
  ages[grid.nowAt] = planningAge;
  for (let i = 0; i < grid.aheadYears.length; i++) ages[grid.nowAt + 1 + i] = planningAge + grid.aheadYears[i];
}

/**
 * Age by which a share has failed, from survival at increasing ages; NaN when that is after the last of them.
 * Between points age is a monotone cubic in the cumulative hazard -log S, in which life curves are nearly straight.
 * `survival`, `ages`: same length, non-increasing and non-decreasing; the first is 1 at the age last known sound.
 */
export function ageAtFailedShare(
  ages: ArrayLike<number>,
  survival: ArrayLike<number>,
  length: number,
  failedShare: number,
): number {
  const target = 1 - failedShare;
  let right = 1;
  while (right < length && survival[right] > target) right++;
  if (right >= length) return Number.NaN;
  const hazard = (i: number) => -Math.log(Math.max(survival[i], 1e-12));
  const [x0, x1] = [hazard(right - 1), hazard(right)];
  const [y0, y1] = [ages[right - 1], ages[right]];
  const width = x1 - x0;
  if (!(width > 0)) return y1;
  const slope = (y1 - y0) / width;
  const before = right >= 2 ? slopeBetween(ages, hazard, right - 2) : slope;
  const after = right + 1 < length && survival[right + 1] > 1e-11 ? slopeBetween(ages, hazard, right) : slope;
  const at = (-Math.log(target) - x0) / width;
  return hermite({ y0, y1, d0: width * harmonic(before, slope), d1: width * harmonic(slope, after), at });
}

function slopeBetween(ages: ArrayLike<number>, hazard: (i: number) => number, i: number): number {
  const rise = hazard(i + 1) - hazard(i);
  return rise > 0 ? (ages[i + 1] - ages[i]) / rise : 0;
}

/** Slope at a shared point: the harmonic mean keeps the cubic monotone (Fritsch and Butland, 1984). */
const harmonic = (a: number, b: number): number => (a > 0 && b > 0 ? (2 * a * b) / (a + b) : 0);

function hermite(p: { y0: number; y1: number; d0: number; d1: number; at: number }): number {
  const { y0, y1, d0, d1, at } = p;
  const [square, cube] = [at * at, at * at * at];
  return (
    y0 * (2 * cube - 3 * square + 1) +
    d0 * (cube - 2 * square + at) +
    y1 * (3 * square - 2 * cube) +
    d1 * (cube - square)
  );
}
