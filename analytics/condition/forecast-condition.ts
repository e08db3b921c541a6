import {
  type ForecastOptions,
  forecastSegments,
  type SegmentForecasts,
  type SegmentKnowledge,
} from '../forecast/forecast-segments.ts';
import { knownOfSome } from '../forecast/some-segments.ts';
import type { Family } from '../survival/aft.ts';
import { checkReadings } from './check-condition-data.ts';
import type { ConditionDraws, ShareReadings } from './condition.ts';
import { ConditionKernel, MOST_POINTS } from './condition-kernel.ts';
import { copyForecast, type MadeForecasts, type WritableForecasts, writeMeanForecast } from './mean-forecast.ts';
import { prepareReadings } from './prepared-readings.ts';

/** What is known of each segment's seal in place, with every share read on it up to the planning date. */
export interface ConditionKnowledge extends Omit<SegmentKnowledge, 'damageShare'>, ShareReadings {}

export type ConditionForecastOptions = Pick<ForecastOptions, 'yearLeft' | 'horizonYears' | 'closeDraws'>;

/**
 * Posterior predictive forecast of every segment given all readings of its seal and its soundness at the last look:
 * the outputs of `forecastSegments`, and its very numbers for segments without readings, for those known to have failed,
 * and wherever the draws are the threshold model's.
 *
 * Under one draw the density of y = log T is that of the life model above the last sound age, times the chance of each
 * reading. All draws share a grid of y for each segment, so the mean over draws is taken of densities, and survival and
 * quantiles come from it once. Work is count x draws x about 35 exponentials.
 * @param onProgress called with the share done, 0 to 1
 * @param before forecasts that need not be made again
 * @throws RangeError when array lengths do not fit, or a reading has no meaning
 */
export function forecastCondition(
  known: ConditionKnowledge,
  draws: ConditionDraws,
  family: Family,
  options: ConditionForecastOptions,
  onProgress?: (shareDone: number) => void,
  before?: MadeForecasts,
): SegmentForecasts {
  checkReadings(known, known.count);
  const readings = prepareReadings(known, draws.reading);
  const updated = (i: number): boolean =>
    draws.growth !== null && readings.start[i] < readings.start[i + 1] && Number.isNaN(known.foundFailedAgeYears[i]);
  const plain: number[] = [];
  const read: number[] = [];
  for (let i = 0; i < known.count; i++) (updated(i) ? read : plain).push(i);
  const plainShare = (0.2 * plain.length) / Math.max(1, 0.2 * plain.length + read.length);
  const out = spread(
    forecastSegments(
      subset(known, plain),
      draws,
      family,
      { ...options, failureThresholdShare: draws.reading.failureThresholdShare, damageRule: null },
      (share) => onProgress?.(plainShare * share),
    ),
    plain,
    known.count,
  );
  if (draws.growth) {
    const { covariates } = known;
    const kernel = new ConditionKernel({ covariates, readings, shared: known.shared }, draws, draws.growth, family);
    const segments = new UpdatedSegments(known, draws, kernel, options);
    for (const [k, i] of read.entries()) {
      if (before?.made[i]) copyForecast(out, i, before);
      else segments.write(out, i);
      if (onProgress && k % 1000 === 999) onProgress(plainShare + ((1 - plainShare) * (k + 1)) / read.length);
    }
  }
  return out;
}

/** Writes the forecast of one segment after another; buffers are reused. */
class UpdatedSegments {
  private readonly known: ConditionKnowledge;
  private readonly draws: ConditionDraws;
  private readonly kernel: ConditionKernel;
  private readonly options: ConditionForecastOptions;
  private readonly each = new Float64Array(MOST_POINTS);
  private readonly density = new Float64Array(MOST_POINTS);
  private readonly survival = new Float64Array(MOST_POINTS);

  constructor(
    known: ConditionKnowledge,
    draws: ConditionDraws,
    kernel: ConditionKernel,
    options: ConditionForecastOptions,
  ) {
    this.known = known;
    this.draws = draws;
    this.kernel = kernel;
    this.options = options;
  }

  write(out: WritableForecasts, i: number): void {
    const { known, kernel, density, survival, options } = this;
    const soundAge = Math.max(0, known.soundAgeYears[i]);
    const now = Math.max(soundAge, known.planningAgeYears[i]);
    this.fill(i, Math.log(soundAge));
    writeMeanForecast(out, i, { grid: kernel, density, survival, nowYears: now }, options.yearLeft);
  }

  /** Mean density over the draws. */
  private fill(i: number, soundLog: number): void {
    const { kernel, each, density, draws } = this;
    kernel.turnTo(i, soundLog);
    const { points } = kernel;
    density.fill(0, 0, points);
    for (let d = 0; d < draws.draws; d++) kernel.addDensity(density, each, d);
    const perDraw = 1 / draws.draws;
    for (let j = 0; j < points; j++) density[j] *= perDraw;
  }
}

/** The knowledge of some segments, without shares. */
const subset = (known: ConditionKnowledge, members: readonly number[]): SegmentKnowledge => ({
  ...knownOfSome(known, members),
  damageShare: new Float64Array(members.length).fill(Number.NaN),
});

/** Puts forecasts of some segments in their places among all. */
function spread(part: SegmentForecasts, members: readonly number[], count: number): SegmentForecasts {
  const { yearEnds } = part;
  const place = (from: Float64Array): Float64Array => {
    const out = new Float64Array(count);
    for (const [k, i] of members.entries()) out[i] = from[k];
    return out;
  };
  const failedByYearEnd = new Float64Array(count * yearEnds);
  for (const [k, i] of members.entries())
    failedByYearEnd.set(part.failedByYearEnd.subarray(k * yearEnds, (k + 1) * yearEnds), i * yearEnds);
  return {
    failedByYearEnd,
    yearEnds,
    failedNow: place(part.failedNow),
    medianYears: place(part.medianYears),
    lowerYears: place(part.lowerYears),
    upperYears: place(part.upperYears),
  };
}
