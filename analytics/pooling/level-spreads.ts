import { maximiseInBox } from '../numeric/bounded-quasi-newton.ts';
import { type LevelPeak, type LevelQuadratic, peakOf, peakVariances } from './level-quadratic.ts';

/** A spread as near to none as makes no difference: the grouping takes no part. */
export const NO_SPREAD = 1e-4;
/** Below this an estimate is none: lives then differ by a few hundredths, which no forecast would show. */
const LEAST_SPREAD = 0.02;
const LARGEST_SPREAD = 2;
const START = 0.1;

export interface LevelSpreads {
  /** SD of log life among the levels of each grouping; `NO_SPREAD` where none shows. */ readonly sds: readonly number[];
  /** How many levels' worth of knowledge each estimate rests on. */ readonly freedoms: readonly number[];
  readonly peak: LevelPeak;
}

/**
 * The spreads under which a quadratic is likeliest, effects and coefficients integrated out: restricted maximum likelihood,
 * with the slope (sum of u² + sum of variances) / sd² - levels in each log sd.
 * Source: Harville (J. Amer. Statist. Assoc. 72, 1977).
 * @param start SDs to search from @param taking which groupings take part @param leastGain less is not searched for
 * @returns null where the information is not positive definite
 */
export function levelSpreads(
  quadratic: LevelQuadratic,
  start: readonly number[],
  taking: readonly boolean[],
  leastGain = 1e-3,
): LevelSpreads | null {
  const free = [...taking.keys()].filter((g) => taking[g]);
  const sdsAt = (at: Float64Array): number[] => {
    const sds = start.map(() => NO_SPREAD);
    free.forEach((g, k) => {
      sds[g] = Math.exp(at[k]);
    });
    return sds;
  };
  let last: LevelPeak | null = null;
  const value = (at: Float64Array): number => {
    last = peakOf(quadratic, sdsAt(at));
    return last ? last.logMarginal : Number.NaN;
  };
  const slope = (at: Float64Array, gradient: Float64Array): void => {
    if (last) gradient.set(spreadSlopes(quadratic, last, sdsAt(at), free));
  };
  const from = Float64Array.from(free, (g) => Math.log(Math.max(start[g], LEAST_SPREAD * 2) || START));
  const found = maximiseInBox({ value, slope }, from, {
    lower: new Float64Array(free.length).fill(Math.log(LEAST_SPREAD)),
    upper: new Float64Array(free.length).fill(Math.log(LARGEST_SPREAD)),
    ...{ longestStep: 1, maxIterations: 40, leastGain, rounding: 1e-12 },
  });
  if (!Number.isFinite(found.value)) return null;
  const sds = sdsAt(found.at).map((sd) => (sd <= LEAST_SPREAD * 1.0001 ? NO_SPREAD : sd));
  const peak = peakOf(quadratic, sds);
  return peak && { sds, freedoms: freedomsOf(quadratic, peak, sds), peak };
}

/** Slopes of the log marginal in the log sds of some groupings. */
function spreadSlopes(
  { places }: LevelQuadratic,
  peak: LevelPeak,
  sds: readonly number[],
  free: readonly number[],
): Float64Array {
  const variances = peakVariances(peak, places);
  return Float64Array.from(free, (g) => {
    let sum = 0;
    for (let l = places.levelStart[g]; l < places.levelStart[g + 1]; l++) sum += peak.at[l] ** 2 + variances[l];
    return sum / sds[g] ** 2 - (places.levelStart[g + 1] - places.levelStart[g]);
  });
}

function freedomsOf({ places }: LevelQuadratic, peak: LevelPeak, sds: readonly number[]): number[] {
  const { levelStart } = places;
  const variances = peakVariances(peak, places);
  return sds.map((sd, g) => {
    if (sd === NO_SPREAD) return 0;
    let known = levelStart[g + 1] - levelStart[g];
    for (let l = levelStart[g]; l < levelStart[g + 1]; l++) known -= variances[l] / (sd * sd);
    return Math.max(0, known);
  });
}
