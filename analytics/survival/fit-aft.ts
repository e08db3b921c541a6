import { invertPositiveDefinite } from '../numeric/cholesky.ts';
import { ONE_THREAD, type SumThreads } from '../numeric/chunk-sums.ts';
import type { AftData, AftFit, AftPrior, Family } from './aft.ts';
import { checkAftData } from './check-aft-data.ts';
import { checkAftPrior } from './check-aft-prior.ts';
import { compress } from './compress.ts';
import { findMode, type Mode } from './find-mode.ts';
import { judgeFit, NO_EVENTS_WARNING } from './fit-status.ts';
import { LIFE_SUMS } from './likelihood-chunks.ts';
import { likelihoodOfSums, logLikelihood } from './log-likelihood.ts';
import { pointToModel } from './posterior-density.ts';
import { type Design, standardise } from './standardise.ts';
import { matchingPredictor } from './start-values.ts';

export interface FitOptions {
  readonly family: Family;
  /** null: plain maximum likelihood. */ readonly prior: AftPrior | null;
  readonly maxIterations?: number;
  /** Of these very rows, where it is made already. */ readonly design?: Design;
  /** Whoever adds up the likelihood; left out: this thread alone. The fit is the same bits. */
  readonly threads?: SumThreads;
}

/**
 * Fits log T = x'beta + sigma W to any mix of interval, right, left and exact ages with delayed entry.
 * With a prior it is the posterior mode and the covariance is that of the penalised log-likelihood;
 * `logLikelihood` is always that of the data alone. Dropped columns keep their place with coefficient 0.
 * @throws RangeError naming the row and field of a value that no likelihood has a meaning for
 */
export function fitAft(data: AftData, options: FitOptions): AftFit {
  const { family, prior, maxIterations = 80, threads = ONE_THREAD } = options;
  checkAftData(data);
  if (prior) checkAftPrior(prior, data);
  const design = options.design ?? standardise(compress(data), prior);
  const totals = totalWeights(data);
  if (!prior && totals.failures === 0) return fitWithoutEvents(design, family, totals);

  const fixedScale = family === 'exponential';
  const mode = threads.withSums(LIFE_SUMS, { design, family }, (sums) => {
    const likelihood = likelihoodOfSums(design, sums);
    return findMode({ design, family, prior, fixedScale, likelihood, maxIterations });
  });
  return assemble({ design, mode, family, prior, totals, fixedScale });
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
  readonly mode: Mode;
  readonly family: Family;
  readonly prior: AftPrior | null;
  readonly totals: Totals;
  readonly fixedScale: boolean;
}

function assemble({ design, mode, family, prior, totals, fixedScale }: Parts): AftFit {
  const width = design.kept.length;
  const size = mode.theta.length;
  const covariance = mode.finite ? covarianceOf(mode, size) : null;
  const verdict = judgeFit({
    ...mode,
    ...totals,
    hasPrior: prior !== null,
    shapeIsFree: !fixedScale && (prior === null || prior.logScaleSd === Infinity),
    names: [...design.kept].map((column) => design.names[column]),
    coefficients: mode.theta.subarray(0, width),
    standardErrors: covariance && diagonalRoots(covariance, size),
    tau: fixedScale ? 1 : Math.exp(-mode.theta[width]),
  });
  const droppedNames = namesLeftOut(design);
  return {
    family,
    names: design.names,
    ...pointToModel(design, mode.theta, fixedScale),
    logLikelihood: Number.isFinite(mode.logLikelihood) ? mode.logLikelihood : -Number.MAX_VALUE,
    covariance: verdict.converged && covariance ? originalCovariance(design, covariance, size) : null,
    ...totals,
    iterations: mode.iterations,
    ...verdict,
    warnings: [...verdict.warnings, ...droppedNames.map(droppedWarning)],
    droppedNames,
  };
}

const covarianceOf = ({ hessian }: Mode, size: number): Float64Array | null =>
  invertPositiveDefinite(
    hessian.map((h) => -h),
    size,
  );

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
