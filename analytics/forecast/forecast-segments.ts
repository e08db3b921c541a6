import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { type AgeGrid, ageAtFailedShare, ageGrid, segmentAgesInto } from './age-grid.ts';
import { conditionalSurvivalInto, type LifeDraw, weighByEvidence } from './conditional-kernel.ts';
import { type DamageRule, damagePointer, damageWeightsInto } from './damage-rule.ts';
import { type SurvivalTable, survivalTable } from './standard-life.ts';

/** What is known of each segment's seal in place. One entry per segment; ages in years since installation. */
export interface SegmentKnowledge {
  readonly count: number;
  /** Row-major, count x coefficients, columns as in the fit. */ readonly covariates: Float64Array;
  /** Age at the last look that found it sound, 0 where there was none. */ readonly soundAgeYears: Float64Array;
  /** Age at the planning date. */ readonly planningAgeYears: Float64Array;
  /** Age at which it was found failed; NaN unless it is known to have failed. */
  readonly foundFailedAgeYears: Float64Array;
  /** Damaged share at the last sound look, when above 0 and below the threshold; NaN otherwise. */
  readonly damageShare: Float64Array;
}

export interface ForecastOptions {
  /** Share of the planning year that lies ahead of the planning date, above 0, at most 1. */ readonly yearLeft: number;
  /** Whole years after the planning year. */ readonly horizonYears: number;
  readonly failureThresholdShare: number;
  /** null: damaged shares below the threshold are not used. */ readonly damageRule: DamageRule | null;
}

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

/** Survival of one segment at the points of the grid, averaged over draws. Buffers are reused from one to the next. */
export class SegmentMixture {
  readonly ages: Float64Array;
  /** Mean survival at `ages`; filled in parts, as asked. */ readonly mean: Float64Array;
  private readonly logAges: Float64Array;
  private readonly each: Float64Array;
  private readonly weights: Float64Array;
  private readonly etas: Float64Array;
  private readonly perSigmas: Float64Array;
  private readonly draw: LifeDraw = { eta: 0, perSigma: 1 };
  private readonly table: SurvivalTable;
  private readonly known: SegmentKnowledge;
  private readonly draws: PosteriorDraws;
  private readonly grid: AgeGrid;
  private readonly options: ForecastOptions;
  private logStart = Number.NEGATIVE_INFINITY;
  private evidence = false;

  constructor(known: SegmentKnowledge, draws: PosteriorDraws, family: Family, grid: AgeGrid, options: ForecastOptions) {
    this.known = known;
    this.draws = draws;
    this.grid = grid;
    this.options = options;
    this.table = survivalTable(family);
    this.ages = new Float64Array(grid.length);
    this.logAges = new Float64Array(grid.length);
    this.mean = new Float64Array(grid.length);
    this.each = new Float64Array(grid.length);
    this.weights = new Float64Array(grid.length + 1);
    this.etas = new Float64Array(draws.draws);
    this.perSigmas = draws.scale.map((sigma) => 1 / sigma);
  }

  /** Turns to segment `i`. Returns whether damage evidence makes every point of the grid needed at once. */
  turnTo(i: number): boolean {
    const { known, ages, logAges, grid, options } = this;
    const soundAge = Math.max(0, known.soundAgeYears[i]);
    const planningAge = Math.max(soundAge, known.planningAgeYears[i]);
    segmentAgesInto(ages, grid, soundAge, planningAge);
    for (let j = 0; j < ages.length; j++) logAges[j] = Math.log(ages[j]);
    this.logStart = Math.log(soundAge);
    this.fillEtas(i);
    const share = known.damageShare[i];
    const { damageRule, failureThresholdShare } = options;
    this.evidence = damageRule !== null && soundAge > 0 && share > 0 && share < failureThresholdShare;
    if (this.evidence && damageRule) {
      const pointer = damagePointer(soundAge, share, failureThresholdShare, damageRule);
      damageWeightsInto(this.weights, ages, 0, ages.length, soundAge, pointer, damageRule.logSd);
    }
    return this.evidence;
  }

  /** Fills `mean[from..to)`. With damage evidence the range must be the whole grid. */
  fill(from: number, to: number): void {
    const { mean, each, logAges, draw, etas, perSigmas, table, weights, logStart, evidence } = this;
    mean.fill(0, from, to);
    for (let d = 0; d < etas.length; d++) {
      draw.eta = etas[d];
      draw.perSigma = perSigmas[d];
      conditionalSurvivalInto(each, logAges, from, to, logStart, draw, table);
      if (evidence) weighByEvidence(each, weights, from, to);
      for (let j = from; j < to; j++) mean[j] += each[j];
    }
    const perDraw = 1 / etas.length;
    for (let j = from; j < to; j++) mean[j] = Math.min(1, mean[j] * perDraw);
  }

  private fillEtas(i: number): void {
    const { etas } = this;
    const { covariates } = this.known;
    const { coefficients } = this.draws;
    const width = coefficients.length / etas.length;
    for (let d = 0; d < etas.length; d++) {
      let eta = 0;
      for (let k = 0; k < width; k++) eta += coefficients[d * width + k] * covariates[i * width + k];
      etas[d] = eta;
    }
  }
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

/** The first point serves as the sound age when nothing was lost by then; otherwise the curve starts at it. */
function quantileAge({ ages, mean }: SegmentMixture, grid: AgeGrid, failedShare: number): number {
  if (mean[0] > 1 - failedShare) return ageAtFailedShare(ages, mean, grid.length, failedShare);
  const soundAge = ages[0] - (ages[grid.nowAt] - ages[0]) / grid.nowAt;
  return soundAge + ((ages[0] - soundAge) * failedShare) / (1 - mean[0]);
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
