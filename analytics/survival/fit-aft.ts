import { invertPositiveDefinite } from '../numeric/cholesky.ts';
import { maximise } from '../numeric/newton.ts';
import type { AftData, AftFit, AftPrior, Family } from './aft.ts';
import { checkAftData } from './check-aft-data.ts';
import { checkAftPrior } from './check-aft-prior.ts';
import { compress } from './compress.ts';
import { judgeFit, NO_EVENTS_WARNING } from './fit-status.ts';
import { logLikelihood } from './log-likelihood.ts';
import { commonStart, isMaximum, type LikelihoodMaximum, maximiseLikelihood } from './maximise-likelihood.ts';
import { type PosteriorDensity, pointToModel, posteriorDensity } from './posterior-density.ts';
import { type Design, standardise } from './standardise.ts';
import { matchingPredictor } from './start-values.ts';

export interface FitOptions {
  readonly family: Family;
  /** null: plain maximum likelihood. */ readonly prior: AftPrior | null;
  readonly maxIterations?: number;
}

/**
 * Fits log T = x'beta + sigma W to any mix of interval, right, left and exact ages with delayed entry.
 * With a prior it is the posterior mode and the covariance is that of the penalised log-likelihood;
 * `logLikelihood` is always that of the data alone. Dropped columns keep their place with coefficient 0.
 * @throws RangeError naming the row and field of a value that no likelihood has a meaning for
 */
export function fitAft(data: AftData, { family, prior, maxIterations = 80 }: FitOptions): AftFit {
  checkAftData(data);
  if (prior) checkAftPrior(prior, data);
  const design = standardise(compress(data), prior);
  const totals = totalWeights(data);
  if (!prior && totals.failures === 0) return fitWithoutEvents(design, family, totals);

  const fixedScale = family === 'exponential';
  const likelihood = logLikelihood(design, family);
  const density = posteriorDensity({ design, likelihood, prior, fixedScale });
  const found = prior
    ? maximisePosterior(design, density, prior, { fixedScale, maxIterations })
    : asMode(maximiseLikelihood(design, likelihood, { fixedScale, maxIterations }), fixedScale);
  return assemble({ design, density, found, family, prior, totals, likelihoodAt: likelihood.value });
}

interface Mode {
  /** Standardised coefficients, then log sigma where it is estimated. */ readonly theta: Float64Array;
  readonly iterations: number;
  readonly reachedMaximum: boolean;
  readonly finite: boolean;
  readonly score: number;
}

function asMode(found: LikelihoodMaximum, fixedScale: boolean): Mode {
  const coefficients = found.delta.map((d) => d / found.tau);
  return {
    theta: fixedScale ? coefficients : Float64Array.of(...coefficients, -Math.log(found.tau)),
    iterations: found.iterations,
    reachedMaximum: isMaximum(found),
    finite: found.outcome !== 'nonfinite' && coefficients.every(Number.isFinite),
    score: found.score,
  };
}

/** The prior is not concave in (delta, tau), so this stage works in (b, log sigma), from several shapes if it must. */
function maximisePosterior(
  design: Design,
  density: PosteriorDensity,
  prior: AftPrior,
  { fixedScale, maxIterations }: { fixedScale: boolean; maxIterations: number },
): Mode {
  const width = design.kept.length;
  const expected = Number.isFinite(prior.logScaleSd) ? Math.exp(-prior.logScaleMean) : 2;
  const longestStep = (_at: Float64Array, step: Float64Array): number =>
    fixedScale ? 1 : Math.min(1, Math.log(5) / Math.abs(step[width]));
  let iterations = 0;
  let mode: Mode | null = null;
  for (const tau of fixedScale ? [1] : [expected, 1, 4]) {
    const coefficients = commonStart(design, tau).map((d) => d / tau);
    const start = fixedScale ? coefficients : Float64Array.of(...coefficients, -Math.log(tau));
    const result = maximise(density.derivatives, start, { maxIterations, longestStep });
    iterations += result.iterations;
    const score = scoreOf(result.gradient, result.hessian);
    const reachedMaximum = result.outcome === 'converged' || (result.outcome === 'stuck' && score < 1e-6);
    mode = { theta: result.at, iterations, reachedMaximum, finite: result.outcome !== 'nonfinite', score };
    if (reachedMaximum) break;
  }
  return mode as Mode;
}

function scoreOf(gradient: Float64Array, hessian: Float64Array): number {
  const n = gradient.length;
  let worst = 0;
  for (let j = 0; j < n; j++)
    if (gradient[j] !== 0) worst = Math.max(worst, Math.abs(gradient[j]) / Math.sqrt(Math.max(0, -hessian[j * n + j])));
  return worst;
}

interface Totals {
  readonly observations: number;
  readonly failures: number;
}

function totalWeights({ weight, upper }: AftData): Totals {
  let observations = 0;
  let failures = 0;
  for (let i = 0; i < weight.length; i++) {
    observations += weight[i];
    if (upper[i] < Infinity) failures += weight[i];
  }
  return { observations, failures };
}

interface Parts {
  readonly design: Design;
  readonly density: PosteriorDensity;
  readonly found: Mode;
  readonly family: Family;
  readonly prior: AftPrior | null;
  readonly totals: Totals;
  readonly likelihoodAt: (delta: Float64Array, tau: number) => number;
}

function assemble({ design, density, found, family, prior, totals, likelihoodAt }: Parts): AftFit {
  const fixedScale = family === 'exponential';
  const width = design.kept.length;
  const tau = fixedScale ? 1 : Math.exp(-found.theta[width]);
  const standardised = found.theta.subarray(0, width);
  const covariance = found.finite ? covarianceAt(density, found.theta) : null;
  const verdict = judgeFit({
    ...found,
    ...totals,
    hasPrior: prior !== null,
    shapeIsFree: !fixedScale && (prior === null || prior.logScaleSd === Infinity),
    names: [...design.kept].map((column) => design.names[column]),
    coefficients: standardised,
    standardErrors: covariance && diagonalRoots(covariance, density.size),
    tau,
  });
  const droppedNames = namesLeftOut(design);
  const value = likelihoodAt(
    standardised.map((b) => b * tau),
    tau,
  );
  return {
    family,
    names: design.names,
    ...pointToModel(design, found.theta, fixedScale),
    logLikelihood: Number.isFinite(value) ? value : -Number.MAX_VALUE,
    covariance: verdict.converged && covariance ? originalCovariance(design, covariance, density.size) : null,
    ...totals,
    iterations: found.iterations,
    ...verdict,
    warnings: [...verdict.warnings, ...droppedNames.map(droppedWarning)],
    droppedNames,
  };
}

function covarianceAt(density: PosteriorDensity, theta: Float64Array): Float64Array | null {
  const { size } = density;
  const hessian = new Float64Array(size * size);
  density.derivatives(theta, new Float64Array(size), hessian);
  return invertPositiveDefinite(
    hessian.map((h) => -h),
    size,
  );
}

const diagonalRoots = (matrix: Float64Array, n: number): Float64Array =>
  Float64Array.from({ length: n }, (_, j) => Math.sqrt(matrix[j * n + j]));

/** A V A', where A maps standardised parameters to original ones; rows of dropped columns are 0. */
function originalCovariance(design: Design, covariance: Float64Array, size: number): Float64Array {
  const width = design.kept.length;
  const n = design.names.length;
  const outSize = n + (size - width);
  const map = new Float64Array(outSize * size);
  for (let j = 0; j < n; j++) for (let k = 0; k < width; k++) map[j * size + k] = design.back[j * width + k];
  if (size > width) map[n * size + width] = 1;
  const half = new Float64Array(outSize * size);
  for (let j = 0; j < outSize; j++)
    for (let k = 0; k < size; k++)
      for (let m = 0; m < size; m++) half[j * size + k] += map[j * size + m] * covariance[m * size + k];
  const out = new Float64Array(outSize * outSize);
  for (let j = 0; j < outSize; j++)
    for (let k = 0; k <= j; k++) {
      let sum = 0;
      for (let m = 0; m < size; m++) sum += half[j * size + m] * map[k * size + m];
      out[j * outSize + k] = out[k * outSize + j] = sum;
    }
  return out;
}

const namesLeftOut = (design: Design): string[] => {
  const kept = new Set(design.kept);
  return design.names.filter((_, j) => !kept.has(j));
};

const droppedWarning = (name: string): string =>
  `${name} is left out because the other columns determine it; remove it, or one of those.`;

/** Without failures the likelihood rises for ever as life grows: a finite stand-in, said to be no estimate. */
function fitWithoutEvents(design: Design, family: Family, totals: Totals): AftFit {
  const tau = family === 'exponential' ? 1 : 2;
  const life = matchingPredictor(design, tau) / tau;
  const theta = Float64Array.of(...design.ones.map((share) => share * life), -Math.log(tau));
  const likelihood = logLikelihood(design, family);
  return {
    family,
    names: design.names,
    ...pointToModel(design, theta, family === 'exponential'),
    logLikelihood: likelihood.value(
      design.ones.map((share) => share * life * tau),
      tau,
    ),
    covariance: null,
    ...totals,
    iterations: 0,
    converged: false,
    status: 'no-events',
    warnings: [NO_EVENTS_WARNING],
    droppedNames: namesLeftOut(design),
  };
}
