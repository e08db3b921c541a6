import { choleskyInPlace, choleskySolveInPlace, invertPositiveDefinite } from '../numeric/cholesky.ts';
import { ONE_THREAD, type SumThreads } from '../numeric/chunk-sums.ts';
import { maximise } from '../numeric/newton.ts';
import { paretoK } from '../numeric/pareto-k.ts';
import { type SeededRandom, seededRandom } from '../numeric/seeded-normals.ts';
import { systematicResample } from '../numeric/systematic-resample.ts';
import { LARGEST_TRUSTED_K, mayStandUnweighted } from '../numeric/trusted-weights.ts';
import type { AftData, AftFit, AftPrior, PosteriorDraws } from './aft.ts';
import { checkAftData } from './check-aft-data.ts';
import { compress } from './compress.ts';
import { LIFE_SUMS } from './likelihood-chunks.ts';
import { likelihoodOfSums } from './log-likelihood.ts';
import { type PosteriorDensity, pointToModel, posteriorDensity } from './posterior-density.ts';
import { type Design, standardise } from './standardise.ts';

export interface DrawOptions {
  readonly draws: number;
  /** Whole number; the same seed and data give the same draws. */ readonly seed: number;
  /** Whoever adds up the likelihood; left out: this thread alone. The draws are the same bits. */
  readonly threads?: SumThreads;
}

/** Student degrees of freedom of the proposals: tails heavier than any posterior that is met here. */
const FREEDOM = 5;
const PROPOSALS = 4000;
const PROPOSALS_PER_DRAW = 10;
/** With twenty coefficients and a normal posterior 58 % of the proposals count; two for each draw is the least. */
const LEAST_PROPOSALS_PER_DRAW = 2;
/** Likelihood rows to spend on proposals: about two seconds. */
const ROW_BUDGET = 1.5e7;
const MANY_ROWS = 2000;
const CHECKS_WITH_MANY_ROWS = 100;
const LEAST_FAILURES_FOR_LAPLACE = 200;

/**
 * Draws from the posterior of coefficients and scale: multivariate-t proposals at the mode, importance weights,
 * resampling. The covariance alone overstates upper limits badly when failures are few.
 * A `paretoK` above 0.7 after the one refinement means that the draws should not be relied on.
 * @throws RangeError where the fit did not converge or `draws` is no whole number above 0
 */
export function posteriorDraws(
  data: AftData,
  fit: AftFit,
  prior: AftPrior | null,
  { draws, seed, threads = ONE_THREAD }: DrawOptions,
): PosteriorDraws {
  if (!(Number.isInteger(draws) && draws > 0))
    throw new RangeError(`draws is ${draws}; expected a whole number above 0`);
  if (!fit.converged) throw new RangeError(`Draws need a fit that converged; this one is ${fit.status}`);
  checkAftData(data);
  const design = standardise(compress(data), prior);
  return threads.withSums(LIFE_SUMS, { design, family: fit.family }, (sums) => {
    const fixedScale = fit.family === 'exponential';
    const density = posteriorDensity({ design, likelihood: likelihoodOfSums(design, sums), prior, fixedScale });
    return drawsOf({ design, density, fit, draws, seed });
  });
}

interface DrawParts {
  readonly design: Design;
  readonly density: PosteriorDensity;
  readonly fit: AftFit;
  readonly draws: number;
  readonly seed: number;
}

function drawsOf({ design, density, fit, draws, seed }: DrawParts): PosteriorDraws {
  const fixedScale = fit.family === 'exponential';
  const mode = modeOf(design, density, fit, fixedScale);
  const random = seededRandom(seed);
  if (design.kind.length > MANY_ROWS && fit.failures > LEAST_FAILURES_FOR_LAPLACE) {
    const checked = sample({ density, proposal: mode, count: CHECKS_WITH_MANY_ROWS, freedom: Infinity, random });
    const share = checked.effectiveSampleSize / CHECKS_WITH_MANY_ROWS;
    if (mayStandUnweighted(share, checked.paretoK))
      return {
        ...toModels(design, normalDraws(mode, draws, random), fixedScale),
        effectiveSampleSize: share * draws,
        paretoK: checked.paretoK,
        method: 'laplace',
      };
  }
  const best = importanceSample(density, mode, proposalCount(design.kind.length, draws), random);
  const picked = systematicResample(best.weights, draws, random.uniform());
  return {
    ...toModels(
      design,
      Array.from(picked, (k) => best.points[k]),
      fixedScale,
    ),
    effectiveSampleSize: best.effectiveSampleSize,
    paretoK: best.paretoK,
    method: 'importance',
  };
}

function proposalCount(rows: number, draws: number): number {
  const wanted = Math.max(PROPOSALS, PROPOSALS_PER_DRAW * draws);
  return Math.max(LEAST_PROPOSALS_PER_DRAW * draws, Math.min(wanted, Math.floor(ROW_BUDGET / rows)));
}

/** Centre and lower Cholesky factor of the covariance, in standardised coefficients and log sigma. */
interface Proposal {
  readonly centre: Float64Array;
  readonly factor: Float64Array;
}

/** The fit's mode on the standardised scale; one or two Newton steps mend the rounding of the way back. */
function modeOf(design: Design, density: PosteriorDensity, fit: AftFit, fixedScale: boolean): Proposal {
  const start = Float64Array.of(
    ...standardisedCoefficients(design, fit.coefficients),
    ...(fixedScale ? [] : [Math.log(fit.scale)]),
  );
  const { at, hessian } = maximise(density.derivatives, start, { maxIterations: 30 });
  const covariance = invertPositiveDefinite(
    hessian.map((h) => -h),
    density.size,
  );
  if (!covariance || !choleskyInPlace(covariance, density.size))
    throw new RangeError('Draws need a fit whose information is positive definite; this one is not');
  return { centre: at, factor: covariance };
}

/** Least-squares inverse of `originalCoefficients`, with rows scaled so that units do not matter. */
export function standardisedCoefficients(design: Design, coefficients: Float64Array): Float64Array {
  const width = design.kept.length;
  const products = new Float64Array(width * width);
  const right = new Float64Array(width);
  for (let j = 0; j < design.names.length; j++) {
    const row = design.back.subarray(j * width, (j + 1) * width);
    const length = row.reduce((sum, value) => Math.max(sum, Math.abs(value)), 0);
    if (length === 0) continue;
    for (let k = 0; k < width; k++) {
      right[k] += (row[k] * (coefficients[j] - design.shift[j])) / length ** 2;
      for (let m = 0; m < width; m++) products[k * width + m] += (row[k] * row[m]) / length ** 2;
    }
  }
  if (choleskyInPlace(products, width)) choleskySolveInPlace(products, width, right);
  return right;
}

interface WeightedSample {
  readonly points: readonly Float64Array[];
  /** Sum to 1. */ readonly weights: Float64Array;
  readonly effectiveSampleSize: number;
  readonly paretoK: number;
}

function importanceSample(
  density: PosteriorDensity,
  mode: Proposal,
  count: number,
  random: SeededRandom,
): WeightedSample {
  const first = sample({ density, proposal: mode, count, freedom: FREEDOM, random });
  if (first.paretoK <= LARGEST_TRUSTED_K) return first;
  const refined = momentsOf(first);
  if (!refined) return first;
  const second = sample({ density, proposal: refined, count, freedom: FREEDOM, random });
  return second.paretoK < first.paretoK ? second : first;
}

interface SampleParts {
  readonly density: PosteriorDensity;
  readonly proposal: Proposal;
  readonly count: number;
  /** Infinity: normal. */ readonly freedom: number;
  readonly random: SeededRandom;
}

function sample({ density, proposal, count, freedom, random }: SampleParts): WeightedSample {
  const logWeights = new Float64Array(count);
  const points: Float64Array[] = [];
  for (let k = 0; k < count; k++) {
    const { point, squaredDistance } = propose(proposal, freedom, random);
    const logProposal =
      freedom === Infinity
        ? -squaredDistance / 2
        : -((freedom + density.size) / 2) * Math.log1p(squaredDistance / freedom);
    const value = density.value(point);
    logWeights[k] = Number.isFinite(value) ? value - logProposal : -Infinity;
    points.push(point);
  }
  const largest = logWeights.reduce((a, b) => Math.max(a, b), -Infinity);
  const weights = logWeights.map((w) => Math.exp(w - largest));
  const sum = weights.reduce((a, b) => a + b, 0);
  for (let k = 0; k < count; k++) weights[k] /= sum;
  return {
    points,
    weights,
    effectiveSampleSize: 1 / weights.reduce((total, w) => total + w * w, 0),
    paretoK: paretoK(weights),
  };
}

/** centre + L z, stretched for a Student distribution; also its squared distance in units of the covariance. */
function propose({ centre, factor }: Proposal, freedom: number, { normal }: SeededRandom) {
  const n = centre.length;
  const z = Float64Array.from({ length: n }, normal);
  let stretch = 1;
  if (freedom !== Infinity) {
    let chiSquare = 0;
    for (let k = 0; k < freedom; k++) chiSquare += normal() ** 2;
    stretch = Math.sqrt(freedom / chiSquare);
  }
  const point = Float64Array.from(centre);
  let squaredDistance = 0;
  for (let j = 0; j < n; j++) {
    squaredDistance += (stretch * z[j]) ** 2;
    for (let k = 0; k <= j; k++) point[j] += stretch * factor[j * n + k] * z[k];
  }
  return { point, squaredDistance };
}

const normalDraws = (mode: Proposal, draws: number, random: SeededRandom): Float64Array[] =>
  Array.from({ length: draws }, () => propose(mode, Infinity, random).point);

/** A proposal with the weighted mean and covariance of a sample; null where too few points carry the weight. */
function momentsOf({ points, weights }: WeightedSample): Proposal | null {
  const n = points[0].length;
  const centre = new Float64Array(n);
  points.forEach((point, k) => {
    for (let j = 0; j < n; j++) centre[j] += weights[k] * point[j];
  });
  const factor = new Float64Array(n * n);
  points.forEach((point, k) => {
    for (let i = 0; i < n; i++)
      for (let j = 0; j <= i; j++) factor[i * n + j] += weights[k] * (point[i] - centre[i]) * (point[j] - centre[j]);
  });
  return choleskyInPlace(factor, n) ? { centre, factor } : null;
}

function toModels(design: Design, points: readonly Float64Array[], fixedScale: boolean) {
  const n = design.names.length;
  const coefficients = new Float64Array(points.length * n);
  const scale = new Float64Array(points.length);
  points.forEach((point, k) => {
    const model = pointToModel(design, point, fixedScale);
    coefficients.set(model.coefficients, k * n);
    scale[k] = model.scale;
  });
  return { draws: points.length, coefficients, scale };
}
