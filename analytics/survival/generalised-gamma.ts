import { invertPositiveDefinite } from '../numeric/cholesky.ts';
import type { AftData, AftPrior, FitStatus } from './aft.ts';
import { checkAftData } from './check-aft-data.ts';
import { checkAftPrior } from './check-aft-prior.ts';
import { compress } from './compress.ts';
import { judgeFit, NO_EVENTS_WARNING, type Verdict } from './fit-status.ts';
import { generalisedGammaLikelihood } from './generalised-gamma-likelihood.ts';
import { type Found, LARGEST_Q, objectiveIn, search } from './generalised-gamma-search.ts';
import { commonStart } from './maximise-likelihood.ts';
import { pointToModel } from './posterior-density.ts';
import { type Design, standardise } from './standardise.ts';

export interface GeneralisedGammaOptions {
  /** On coefficients and log sigma; null: plain maximum likelihood. Q has no prior. */ readonly prior: AftPrior | null;
  readonly maxIterations?: number;
}

export interface GeneralisedGammaFit {
  readonly family: 'generalised-gamma';
  readonly names: readonly string[];
  /** On the original covariate scale. */ readonly coefficients: Float64Array;
  readonly scale: number;
  /** Prentice's Q: 1 is the Weibull, 0 the log-normal, sigma the gamma. */ readonly q: number;
  readonly logLikelihood: number;
  /** Of coefficients, log sigma, Q; row-major; null where not positive definite. */
  readonly covariance: Float64Array | null;
  readonly observations: number;
  readonly failures: number;
  readonly iterations: number;
  readonly converged: boolean;
  readonly status: FitStatus;
  readonly warnings: readonly string[];
  readonly droppedNames: readonly string[];
}

/** A standard error of Q above this says that the records hardly tell the shapes apart. */
const VAGUE_Q = 1;
/**
 * Fits the generalised gamma family in Prentice's parameters, a referee between the Weibull (Q = 1) and the log-normal
 * (Q = 0), to any mix of censoring with delayed entry, weights and covariates.
 * It starts from these special cases, so that its log-likelihood is never below theirs.
 * @throws RangeError as `fitAft`
 * Sources: Prentice (Biometrika 61, 1974); Farewell and Prentice (Technometrics 19, 1977).
 */
export function fitGeneralisedGamma(
  data: AftData,
  { prior, maxIterations = 80 }: GeneralisedGammaOptions,
): GeneralisedGammaFit {
  checkAftData(data);
  if (prior) checkAftPrior(prior, data);
  const design = standardise(compress(data), prior);
  const totals = totalWeights(data);
  const objective = objectiveIn(design, prior);
  if (!prior && totals.failures === 0)
    return assemble({ design, prior, totals, found: noEvents(design), verdict: NO_EVENTS, covariance: null });

  const found = search(design, prior, objective, maxIterations);
  const size = design.kept.length + 2;
  const covariance = invertPositiveDefinite(
    found.hessian.map((h) => -h),
    size,
  );
  return assemble({
    design,
    prior,
    totals,
    found,
    covariance,
    verdict: judge(design, totals, prior, found, covariance),
  });
}

const NO_EVENTS: Verdict = { status: 'no-events', converged: false, warnings: [NO_EVENTS_WARNING] };

function noEvents(design: Design): Found {
  const coefficients = commonStart(design, 2).map((d) => d / 2);
  const at = Float64Array.of(...coefficients, -Math.LN2, 1);
  return { at, value: 0, hessian: new Float64Array(0), iterations: 0, reachedMaximum: false, finite: true, score: 0 };
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

function judge(
  design: Design,
  totals: Totals,
  prior: AftPrior | null,
  found: Found,
  covariance: Float64Array | null,
): Verdict {
  const width = design.kept.length;
  const size = width + 2;
  const q = found.at[size - 1];
  const error = covariance && Math.sqrt(covariance[size * size - 1]);
  const verdict = judgeFit({
    ...totals,
    hasPrior: prior !== null,
    shapeIsFree: prior === null || prior.logScaleSd === Infinity,
    finite: found.finite,
    reachedMaximum: found.reachedMaximum,
    score: found.score,
    names: [...design.kept].map((column) => design.names[column]),
    coefficients: found.at.subarray(0, width),
    standardErrors: covariance && Float64Array.from({ length: size }, (_, j) => Math.sqrt(covariance[j * size + j])),
    tau: Math.exp(-found.at[width]),
  });
  if (found.finite && Math.abs(q) > LARGEST_Q - 0.05)
    return {
      status: 'shape-at-boundary',
      converged: false,
      warnings: [`Q runs to ${q > 0 ? '' : '-'}${LARGEST_Q}, the end of its range; use one of the other families.`],
    };
  if (!verdict.converged || error === null || error <= VAGUE_Q) return verdict;
  const vague = `Q is ${q.toFixed(2)} with a standard error of ${error.toFixed(2)}, so the records hardly tell the families apart; keep a simpler one.`;
  return { ...verdict, status: 'weak', warnings: [...verdict.warnings, vague] };
}

interface Parts {
  readonly design: Design;
  readonly prior: AftPrior | null;
  readonly totals: Totals;
  readonly found: Found;
  readonly covariance: Float64Array | null;
  readonly verdict: Verdict;
}

function assemble({ design, totals, found, covariance, verdict }: Parts): GeneralisedGammaFit {
  const width = design.kept.length;
  const q = found.at[width + 1];
  const tau = Math.exp(-found.at[width]);
  const delta = found.at.subarray(0, width).map((b) => b * tau);
  const value = generalisedGammaLikelihood(design, q).value(delta, tau);
  const kept = new Set(design.kept);
  const droppedNames = design.names.filter((_, j) => !kept.has(j));
  const dropped = droppedNames.map((name) => `${name} is left out because the other columns determine it.`);
  return {
    family: 'generalised-gamma',
    names: design.names,
    ...pointToModel(design, found.at, false),
    q,
    logLikelihood: Number.isFinite(value) ? value : -Number.MAX_VALUE,
    covariance: verdict.converged && covariance ? originalCovariance(design, covariance) : null,
    ...totals,
    iterations: found.iterations,
    ...verdict,
    warnings: [...verdict.warnings, ...dropped],
    droppedNames,
  };
}

/** A V A', with A the map from standardised to original coefficients; log sigma and Q stay as they are. */
function originalCovariance(design: Design, covariance: Float64Array): Float64Array {
  const width = design.kept.length;
  const size = width + 2;
  const n = design.names.length;
  const out = n + 2;
  const map = new Float64Array(out * size);
  for (let j = 0; j < n; j++) for (let k = 0; k < width; k++) map[j * size + k] = design.back[j * width + k];
  map[n * size + width] = 1;
  map[(n + 1) * size + width + 1] = 1;
  const result = new Float64Array(out * out);
  for (let j = 0; j < out; j++)
    for (let k = 0; k <= j; k++) {
      let sum = 0;
      for (let a = 0; a < size; a++)
        for (let b = 0; b < size; b++) sum += map[j * size + a] * covariance[a * size + b] * map[k * size + b];
      result[j * out + k] = result[k * out + j] = sum;
    }
  return result;
}
