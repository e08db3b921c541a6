import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { type AgeGrid, ageAtFailedShare, ageGrid } from './age-grid.ts';
import { type ForecastOptions, type SegmentKnowledge, SegmentMixture } from './segment-mixture.ts';

export type { ForecastOptions, SegmentKnowledge } from './segment-mixture.ts';

/** NaN in the typed arrays of quantiles means more than 100 years ahead. */
export interface SegmentForecasts {
  /** Row-major, count x yearEnds: probability of having failed by the end of the planning year and each later year. */
  readonly failedByYearEnd: Float64Array;
  readonly yearEnds: number;
  /** Probability of having failed by the planning date. */ readonly failedNow: Float64Array;
  /** Years from the planning date, negative when past, by which half, 10 % and 90 % of such seals have failed. */
  readonly medianYears: Float64Array;
  readonly lowerYears: Float64Array;
  readonly upperYears: Float64Array;
}

/**
 * Posterior predictive forecast of every segment: each number is the average over the draws of the fitted model, so the
 * uncertainty of the parameters is in it. A draw gives S(t) / S(c) for a seal last seen sound at age c; damage evidence
 * (see `DamageRule`) multiplies its density. A seal known to have failed has probability 1, and its failure date is spread
 * evenly between its last sound look and the look that found it failed.
 *
 * Work is count x draws x year ends look-ups in a table (no exponential inside), about 5 s for 100,000 x 200 x 21.
 * @param onProgress called with the share done, 0 to 1, every 1,000 segments
 * @throws RangeError when array lengths do not fit
 */
export function forecastSegments(
  known: SegmentKnowledge,
  draws: PosteriorDraws,
  family: Family,
  options: ForecastOptions,
  onProgress?: (shareDone: number) => void,
): SegmentForecasts {
  checkKnowledge(known, draws);
  const grid = ageGrid(options.yearLeft, options.horizonYears);
  const { count } = known;
  const out = {
    failedByYearEnd: new Float64Array(count * grid.yearEnds),
    yearEnds: grid.yearEnds,
    failedNow: new Float64Array(count),
    medianYears: new Float64Array(count),
    lowerYears: new Float64Array(count),
    upperYears: new Float64Array(count),
  };
  const mixture = new SegmentMixture(known, draws, family, grid, options);
  for (let i = 0; i < count; i++) {
    if (Number.isNaN(known.foundFailedAgeYears[i])) writeMixture(out, i, mixture, grid);
    else writeKnownFailed(out, i, known, grid);
    if (onProgress && i % 1000 === 999) onProgress((i + 1) / count);
  }
  return out;
}

function checkKnowledge(known: SegmentKnowledge, draws: PosteriorDraws): void {
  const { count } = known;
  const width = draws.coefficients.length / draws.draws;
  if (draws.draws < 1 || !Number.isInteger(width)) throw new RangeError(`draws is ${draws.draws}; expected 1 or more`);
  const lengths: Record<string, readonly [number, number]> = {
    covariates: [known.covariates.length, count * width],
    soundAgeYears: [known.soundAgeYears.length, count],
    planningAgeYears: [known.planningAgeYears.length, count],
    foundFailedAgeYears: [known.foundFailedAgeYears.length, count],
    damageShare: [known.damageShare.length, count],
  };
  for (const [name, [found, expected]] of Object.entries(lengths))
    if (found !== expected) throw new RangeError(`${name} has ${found} entries; expected ${expected}`);
}

type Writable = { -readonly [K in keyof SegmentForecasts]: SegmentForecasts[K] };

function writeMixture(out: Writable, i: number, mixture: SegmentMixture, grid: AgeGrid): void {
  const { nowAt, yearEnds, length } = grid;
  const { ages, mean } = mixture;
  const horizonEnd = nowAt + 1 + yearEnds;
  const whole = mixture.turnTo(i);
  if (whole) mixture.fill(0, length);
  else {
    mixture.fill(nowAt, horizonEnd);
    // Points before the planning date and beyond the horizon are worth their cost only where a quantile lies there.
    if (mean[nowAt] < 0.9) mixture.fill(0, nowAt);
    else for (let j = 0; j < nowAt; j++) mean[j] = 1 - ((1 - mean[nowAt]) * (j + 1)) / (nowAt + 1);
    if (mean[horizonEnd - 1] > 0.1) mixture.fill(horizonEnd, length);
    else mean.fill(0, horizonEnd, length);
  }
  out.failedNow[i] = 1 - mean[nowAt];
  for (let y = 0; y < yearEnds; y++) out.failedByYearEnd[i * yearEnds + y] = 1 - mean[nowAt + 1 + y];
  const now = ages[nowAt];
  out.lowerYears[i] = quantileAge(mixture, grid, 0.1) - now;
  out.medianYears[i] = quantileAge(mixture, grid, 0.5) - now;
  out.upperYears[i] = quantileAge(mixture, grid, 0.9) - now;
}

/** A cell of the grid that loses more of the survivors than this is steep: its inside is looked at. */
const STEEP_CELL = 0.12;

/** Age by which a share has failed; NaN beyond the grid. The curve begins with survival 1 at the last sound look. */
function quantileAge(mixture: SegmentMixture, { length }: AgeGrid, failedShare: number): number {
  const { ages, mean } = mixture;
  const target = 1 - failedShare;
  let right = 0;
  while (right < length && mean[right] > target) right++;
  if (right >= length) return Number.NaN;
  const before = right === 0 ? 1 : mean[right - 1];
  if (right > 0 && before - mean[right] < STEEP_CELL) return ageAtFailedShare(ages, mean, length, failedShare);
  const left = right === 0 ? mixture.soundAge : ages[right - 1];
  return mixture.ageInside({ left, right: ages[right], before, after: mean[right], target });
}

function writeKnownFailed(out: Writable, i: number, known: SegmentKnowledge, { yearEnds }: AgeGrid): void {
  const found = known.foundFailedAgeYears[i];
  const sound = Math.min(Math.max(0, known.soundAgeYears[i]), found);
  const now = known.planningAgeYears[i];
  out.failedNow[i] = 1;
  out.failedByYearEnd.fill(1, i * yearEnds, (i + 1) * yearEnds);
  out.lowerYears[i] = sound + 0.1 * (found - sound) - now;
  out.medianYears[i] = sound + 0.5 * (found - sound) - now;
  out.upperYears[i] = sound + 0.9 * (found - sound) - now;
}
