import { ONE_THREAD, type SumThreads } from '../numeric/chunk-sums.ts';
import { maximise } from '../numeric/newton.ts';
import type { AftFit, AftPrior, Family } from '../survival/aft.ts';
import { compress } from '../survival/compress.ts';
import { fitAft } from '../survival/fit-aft.ts';
import { type Design, standardise } from '../survival/standardise.ts';
import { assembleFit, type ConditionProblem, type Found } from './assemble-fit.ts';
import { checkConditionData, checkReadingModel } from './check-condition-data.ts';
import {
  CONDITION_PRIOR,
  type ConditionData,
  type ConditionFit,
  type ConditionPrior,
  type ReadingModel,
} from './condition.ts';
import { CONDITION_SUMS } from './condition-chunks.ts';
import { type ConditionDensity, conditionDensity, placesOf } from './condition-density.ts';
import { betterInspectorSd } from './inspector-sd.ts';
import { countReadings, type PreparedReadings, prepareReadings, thinness } from './prepared-readings.ts';
import { restrictedStep } from './restricted-scales.ts';
import { type DesignRows, rowsOf } from './row-sums.ts';
import { startValues } from './start-values.ts';

export interface ConditionOptions {
  readonly family: Family;
  /** Prior of coefficients and log sigma, as for the threshold fit; null: none. */ readonly prior: AftPrior | null;
  readonly reading: ReadingModel;
  /** Left out: `CONDITION_PRIOR`. */ readonly conditionPrior?: ConditionPrior;
  readonly maxIterations?: number;
  /**
   * Ends a tenth of a standard error from the mode or so, where rows are many of a part of them: for a fit that only leads to
   * the next one. Its covariance is that part's.
   */
  readonly rough?: boolean;
  /** Of these very covariates, made once for several fits: ages may change between them. Left out: made for this one. */
  readonly design?: () => ConditionDesign;
  /** Whoever adds up the likelihood; left out: this thread alone. The fit is the same bits. */
  readonly threads?: SumThreads;
}

/**
 * Fits life, damage growth and inspectors together (model: see `condition.ts`) by Newton's method on the penalised marginal
 * likelihood. Where shares are too few, or the search fails, the threshold fit comes back unchanged with `used: false`
 * and a sentence. "Too few": under 30 seals with a share between the limits, or under 10 with two.
 * @throws RangeError naming the row or reading and field of a value that no likelihood has a meaning for
 */
export function fitCondition(data: ConditionData, options: ConditionOptions): ConditionFit {
  checkConditionData(data);
  checkReadingModel(options.reading);
  const readings = prepareReadings(data, options.reading);
  const counts = countReadings(data, readings);
  const thin = thinness(counts);
  const made = thin ? undefined : options.design?.();
  const threshold = fitAft(data, { ...options, design: made?.madeFrom === data ? made.design : undefined });
  const fallBack = (sentence: string): ConditionFit => ({
    used: false,
    sentence,
    life: threshold,
    agesAlone: threshold,
    growth: null,
    covariance: threshold.covariance,
    mode: null,
    counts,
    reading: options.reading,
  });
  if (thin) return fallBack(thin);
  if (!threshold.converged)
    return fallBack(
      `Damaged shares are not used, because the fit of ages alone failed: ${threshold.warnings.join(' ')}`,
    );
  const fit = withConditionProblem(data, options, readings, (problem) => {
    const found = search(problem, threshold, options);
    const estimates = estimatesOf(problem, found, options);
    return assembleFit(problem, found, threshold, { ...options, data, counts, estimates });
  });
  return fit.life.converged
    ? fit
    : fallBack(`Damaged shares are not used, because their fit failed (${fit.life.status}): ${fit.life.warnings[0]}`);
}

/**
 * The same fit to rows that have changed a little, begun where an earlier one ended; counts and warnings are those of then.
 * @returns null where the search fails
 */
export function refitCondition(
  data: ConditionData,
  before: ConditionFit,
  options: ConditionOptions,
): ConditionFit | null {
  const { growth, agesAlone, counts, mode } = before;
  if (!growth || !mode) return null;
  const fit = withConditionProblem(data, options, prepareReadings(data, options.reading), (problem) => {
    if (growth.inspectorSd > 0) problem.density.inspectorSd = growth.inspectorSd;
    if (options.rough) problem.density.oneIn = oneInFor(problem, ROWS_FOR_ROUGH);
    const found = searchFrom(problem, mode.theta, options);
    const estimates = estimatesOf(problem, found, options);
    return assembleFit(problem, found, agesAlone, { ...options, data, counts, estimates });
  });
  return fit.life.converged ? fit : null;
}

/** The covariates of a fit as its search takes them. */
export interface ConditionDesign {
  /** With the ages of `madeFrom`. */ readonly design: Design;
  readonly madeFrom: ConditionData;
  /** The same, row by row. */ readonly rows: DesignRows;
}

export function conditionDesign(data: ConditionData, prior: AftPrior | null): ConditionDesign {
  const design = standardise(compress(data), prior);
  return { design, madeFrom: data, rows: rowsOf(data, design) };
}

/** Works with the density of the fit's parameters, in which omega is at its prior mean until it is set. */
export function withConditionProblem<Result>(
  data: ConditionData,
  { family, prior, conditionPrior = CONDITION_PRIOR, threads = ONE_THREAD, design: made }: ConditionOptions,
  readings: PreparedReadings,
  work: (problem: ConditionProblem) => Result,
): Result {
  const { design, rows: designRows } = made?.() ?? conditionDesign(data, prior);
  const places = placesOf(design.kept.length, family, readings.inspectors);
  const { entry, lower, upper, weight } = data;
  const modes = new Float64Array(lower.length).fill(Number.NaN);
  const rows = { data: { entry, lower, upper, weight }, rows: designRows, readings, family, places, modes };
  return threads.withSums(CONDITION_SUMS, rows, (sums) => {
    const inspectorSd = conditionPrior.inspectorSdMean;
    const density = conditionDensity({ design, places, prior, conditionPrior, inspectorSd, sums });
    return work({ design, readings, density });
  });
}

const OMEGA_ROUNDS = 12;
const OMEGA_TOLERANCE = 0.005;

/** With twice as many rows as this the search begins on so many, which take it near enough for a few full steps. */
const ROWS_FOR_START = 3000;
/** So many rows know where the mode is well enough for a fit that only leads to the next one. */
const ROWS_FOR_ROUGH = 15_000;

const oneInFor = ({ readings }: ConditionProblem, rows: number): number =>
  Math.max(1, Math.floor((readings.start.length - 1) / rows));

function search(problem: ConditionProblem, threshold: AftFit, options: ConditionOptions): Found {
  const { density } = problem;
  let start = startValues(problem.design, density.places, threshold, options.conditionPrior ?? CONDITION_PRIOR);
  density.oneIn = oneInFor(problem, ROWS_FOR_START);
  if (density.oneIn > 1) {
    const near = searchFrom(problem, start, { ...options, rough: true });
    if (near.outcome === 'converged') start = near.at;
  }
  density.oneIn = options.rough ? oneInFor(problem, ROWS_FOR_ROUGH) : 1;
  return searchFrom(problem, start, options);
}

/** With more rows what a maximum does to scales is under a tenth of a standard error. */
const ROWS_FOR_RESTRICTED = 50_000;
/** Of which so many are looked at. */
const ROWS_FOR_RESTRICTED_STEP = 8000;
/** With more rows the search ends about a thousandth of a standard error from the mode, with a last step not looked at. */
const ROWS_FOR_EXACT = 50_000;
const CLOSE_DECREMENT = 1e-6;

/** The mode and its `restrictedStep`, taken on a part of many rows, whose information changes alike. */
function estimatesOf(
  problem: ConditionProblem,
  { at, hessian, outcome }: Found,
  { rough }: ConditionOptions,
): Float64Array {
  const { density, readings } = problem;
  if (rough || outcome !== 'converged' || readings.start.length > ROWS_FOR_RESTRICTED) return at;
  density.oneIn = oneInFor(problem, ROWS_FOR_RESTRICTED_STEP);
  const step = restrictedStep(density, at, hessian);
  density.oneIn = 1;
  return step ? at.map((value, a) => value + step[a]) : at;
}

/** Gain of a step at which omega, or the next fit, need not wait for the mode: a tenth of a standard error. */
const NEAR_DECREMENT = 1e-2;

/** Newton's method to near the mode at an omega, then a better omega, until that stays; then to the mode. */
function searchFrom({ density, readings }: ConditionProblem, from: Float64Array, options: ConditionOptions): Found {
  const { conditionPrior = CONDITION_PRIOR, maxIterations = 80, rough = false } = options;
  const closeDecrement = readings.start.length > ROWS_FOR_EXACT ? CLOSE_DECREMENT : undefined;
  let start = from;
  let steps = 0;
  let settled = density.places.inspectors === 0;
  for (let round = 1; ; round++) {
    const nearDecrement = settled && !rough ? undefined : NEAR_DECREMENT;
    const result = maximise(density.derivatives, start, {
      ...{ maxIterations, nearDecrement, closeDecrement },
      longestStep: longestStep(density),
    });
    steps += result.iterations;
    if (settled || result.outcome !== 'converged') return { ...result, steps };
    const omega = betterInspectorSd(result.at, result.hessian, density.places, {
      omegaNow: density.inspectorSd,
      priorMean: conditionPrior.inspectorSdMean,
    });
    settled = Math.abs(Math.log(omega / density.inspectorSd)) < OMEGA_TOLERANCE || round === OMEGA_ROUNDS;
    if (settled && (rough || result.lastStepUnseen)) return { ...result, steps };
    if (!settled) density.inspectorSd = omega;
    start = result.at;
  }
}

/** Logarithms of scales change by one at most in one step. */
const longestStep =
  ({ places }: ConditionDensity) =>
  (_at: Float64Array, step: Float64Array): number => {
    let largest = Math.max(Math.abs(step[places.logExponent]), Math.abs(step[places.logReadingSd]));
    if (places.logSigma >= 0) largest = Math.max(largest, Math.abs(step[places.logSigma]));
    return Math.min(1, 1 / largest);
  };
