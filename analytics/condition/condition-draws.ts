import { choleskyInPlace, invertPositiveDefinite } from '../numeric/cholesky.ts';
import { maximise } from '../numeric/newton.ts';
import { paretoK } from '../numeric/pareto-k.ts';
import { type SeededRandom, seededRandom } from '../numeric/seeded-normals.ts';
import { systematicResample } from '../numeric/systematic-resample.ts';
import { mayStandUnweighted } from '../numeric/trusted-weights.ts';
import { posteriorDraws } from '../survival/posterior.ts';
import { originalCoefficients } from '../survival/standardise.ts';
import type { ConditionProblem } from './assemble-fit.ts';
import type { ConditionData, ConditionDraws, ConditionFit, SearchMode } from './condition.ts';
import { type ConditionDensity, centredInto } from './condition-density.ts';
import { type ConditionOptions, withConditionProblem } from './fit-condition.ts';
import { prepareReadings } from './prepared-readings.ts';

export interface ConditionDrawOptions extends ConditionOptions {
  readonly draws: number;
  /** Whole number; the same seed and data give the same draws. */ readonly seed: number;
}

/** Student degrees of freedom of the proposals. */
const FREEDOM = 5;
const PROPOSALS = 4000;
/** Seals to spend on proposals: a few seconds. */
const PROPOSAL_BUDGET = 3e5;
const LEAST_PROPOSALS_PER_DRAW = 2;
/** With as many seals and failures the posterior is near to normal: weights are checked on some proposals, then left out. */
const MANY_SEALS = 1000;
const MANY_FAILURES = 100;
const CHECKS = 100;
/** The check is made on at most about this many seals: with more, the posterior is the nearer to normal. */
const SEALS_FOR_CHECK = 2000;

/**
 * Draws from the posterior of all parameters given omega: proposals at the mode with the Laplace covariance, importance
 * weights from the marginal likelihood, resampling. With many seals the normal draws themselves are kept once the weights
 * of a few show that they may be. A fit with `used: false` gives the threshold model's draws.
 * A `paretoK` above 0.7 means that the draws should not be relied on.
 * `data` and `options`: those of the fit.
 * @throws RangeError where the fit did not converge or `draws` is no whole number above 0
 */
export function conditionDraws(data: ConditionData, fit: ConditionFit, options: ConditionDrawOptions): ConditionDraws {
  const { draws, seed, prior, threads } = options;
  if (!fit.used || !fit.growth || !fit.mode)
    return { ...posteriorDraws(data, fit.life, prior, { draws, seed, threads }), growth: null, reading: fit.reading };
  if (!(Number.isInteger(draws) && draws > 0))
    throw new RangeError(`draws is ${draws}; expected a whole number above 0`);
  const { mode } = fit;
  return withConditionProblem(data, options, prepareReadings(data, fit.reading), (problem) =>
    drawsOf(problem, fit, { rows: data.lower.length, mode, draws, seed }),
  );
}

function drawsOf(
  problem: ConditionProblem,
  fit: ConditionFit,
  { rows, mode: end, draws, seed }: { rows: number; mode: SearchMode } & Pick<ConditionDrawOptions, 'draws' | 'seed'>,
): ConditionDraws {
  if (fit.growth && fit.growth.inspectorSd > 0) problem.density.inspectorSd = fit.growth.inspectorSd;
  const mode = proposalAt(end.theta, end.hessian);
  if (!mode) throw new RangeError('Draws need a fit whose information is positive definite; this one is not');
  const random = seededRandom(seed);
  if (rows > MANY_SEALS && fit.life.failures > MANY_FAILURES) {
    const { paretoK: k, effectiveSampleSize } = check(problem.density, mode, rows, random);
    const share = effectiveSampleSize / CHECKS;
    if (mayStandUnweighted(share, k)) {
      const about = { ...mode, centre: end.estimates };
      const points = Array.from({ length: draws }, () => propose(about, Infinity, random).point);
      const quality = { effectiveSampleSize: share * draws, paretoK: k, method: 'laplace' as const };
      return { ...toDraws(problem, points, fit), ...quality };
    }
  }
  const count = Math.max(LEAST_PROPOSALS_PER_DRAW * draws, Math.min(PROPOSALS, Math.floor(PROPOSAL_BUDGET / rows)));
  const best = sample(problem.density, mode, { count, freedom: FREEDOM, random });
  const picked = systematicResample(best.weights, draws, random.uniform());
  const points = Array.from(picked, (k) => best.points[k]);
  const { effectiveSampleSize, paretoK: k } = best;
  return { ...toDraws(problem, points, fit), effectiveSampleSize, paretoK: k, method: 'importance' };
}

/** Centre and lower Cholesky factor of the covariance, in theta. */
interface Proposal {
  readonly centre: Float64Array;
  readonly factor: Float64Array;
}

function proposalAt(centre: Float64Array, hessian: Float64Array): Proposal | null {
  const covariance = invertPositiveDefinite(
    hessian.map((h) => -h),
    centre.length,
  );
  return covariance && choleskyInPlace(covariance, centre.length) ? { centre, factor: covariance } : null;
}

/** Weights of normal proposals at the mode, on one in so many seals where there are very many. */
function check(density: ConditionDensity, mode: Proposal, rows: number, random: SeededRandom): WeightedSample {
  const sampling = { count: CHECKS, freedom: Infinity, random };
  if (rows <= 2 * SEALS_FOR_CHECK) return sample(density, mode, sampling);
  density.oneIn = Math.floor(rows / SEALS_FOR_CHECK);
  // A few Newton steps lead from the mode of all seals to that of some.
  const { at, hessian } = maximise(density.derivatives, mode.centre, { maxIterations: 30 });
  const near = proposalAt(at, hessian);
  const checked = near && sample(density, near, sampling);
  density.oneIn = 1;
  // A rare class without a prior may be in none of the seals picked: then all of them are asked.
  return checked ?? sample(density, mode, sampling);
}

interface WeightedSample {
  readonly points: readonly Float64Array[];
  /** Sum to 1. */ readonly weights: Float64Array;
  readonly effectiveSampleSize: number;
  readonly paretoK: number;
}

interface Sampling {
  readonly count: number;
  /** Infinity: normal. */ readonly freedom: number;
  readonly random: SeededRandom;
}

function sample(density: ConditionDensity, proposal: Proposal, { count, freedom, random }: Sampling): WeightedSample {
  const { size } = density.places;
  const logWeights = new Float64Array(count);
  const points: Float64Array[] = [];
  for (let k = 0; k < count; k++) {
    const { point, squaredDistance } = propose(proposal, freedom, random);
    const logProposal =
      freedom === Infinity ? -squaredDistance / 2 : -((freedom + size) / 2) * Math.log1p(squaredDistance / freedom);
    const value = density.value(point);
    logWeights[k] = Number.isFinite(value) ? value - logProposal : -Infinity;
    points.push(point);
  }
  const largest = logWeights.reduce((a, b) => Math.max(a, b), -Infinity);
  const weights = logWeights.map((w) => Math.exp(w - largest));
  const sum = weights.reduce((a, b) => a + b, 0);
  for (let k = 0; k < count; k++) weights[k] /= sum;
  const effectiveSampleSize = 1 / weights.reduce((total, w) => total + w * w, 0);
  return { points, weights, effectiveSampleSize, paretoK: paretoK(weights) };
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

function toDraws(
  { design, density }: ConditionProblem,
  points: readonly Float64Array[],
  fit: ConditionFit,
): Pick<ConditionDraws, 'draws' | 'coefficients' | 'scale' | 'growth' | 'reading'> {
  const { places } = density;
  const n = design.names.length;
  const coefficients = new Float64Array(points.length * n);
  const scale = new Float64Array(points.length);
  const exponent = new Float64Array(points.length);
  const readingSd = new Float64Array(points.length);
  const inspectorShift = new Float64Array(points.length * places.inspectors);
  points.forEach((theta, d) => {
    coefficients.set(originalCoefficients(design, theta.subarray(0, places.width)), d * n);
    scale[d] = places.logSigma < 0 ? 1 : Math.exp(theta[places.logSigma]);
    exponent[d] = Math.exp(theta[places.logExponent]);
    readingSd[d] = Math.exp(theta[places.logReadingSd]);
    centredInto(inspectorShift.subarray(d * places.inspectors, (d + 1) * places.inspectors), theta, places);
  });
  const growth = { exponent, readingSd, inspectors: places.inspectors, inspectorShift };
  return { draws: points.length, coefficients, scale, growth, reading: fit.reading };
}
