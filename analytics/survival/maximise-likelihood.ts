import { maximise, type NewtonResult, type Objective } from '../numeric/newton.ts';
import type { LogLikelihood } from './log-likelihood.ts';
import type { Design } from './standardise.ts';
import { matchingPredictor } from './start-values.ts';

/** Where the search ended, in delta and tau. */
export interface LikelihoodMaximum {
  readonly delta: Float64Array;
  readonly tau: number;
  readonly iterations: number;
  readonly outcome: NewtonResult['outcome'];
  /** Largest |score| in standard errors of its own coordinate; 0 at a maximum. */ readonly score: number;
  readonly value: number;
  /** In delta, then tau unless the scale is fixed; so the Hessian. */ readonly gradient: Float64Array;
  readonly hessian: Float64Array;
}

export interface LikelihoodSearch {
  readonly fixedScale: boolean;
  readonly maxIterations: number;
  /** A point that may be near the maximum; left out or null: none is known. */
  readonly start?: { readonly delta: Float64Array; readonly tau: number } | null;
}

const START_TAU = 2;

/**
 * Maximum likelihood in (delta, tau), where the problem is concave without delayed entry.
 * If the search fails, tau is profiled: for given tau the Weibull stays concave in delta with delayed entry too.
 */
export function maximiseLikelihood(
  design: Design,
  likelihood: LogLikelihood,
  { fixedScale, maxIterations, start }: LikelihoodSearch,
): LikelihoodMaximum {
  if (start) {
    const found = fixedScale
      ? atFixedTau(likelihood, start.delta, 1, maxIterations)
      : freely(likelihood, start.delta, start.tau, maxIterations);
    if (isMaximum(found)) return found;
  }
  if (fixedScale) return atFixedTau(likelihood, commonStart(design, 1), 1, maxIterations);
  const first = freely(likelihood, commonStart(design, START_TAU), START_TAU, maxIterations);
  if (isMaximum(first)) return first;
  const profiled = profileTau(design, likelihood, maxIterations);
  if (!profiled) return first;
  const second = freely(likelihood, profiled.delta, profiled.tau, maxIterations);
  const iterations = first.iterations + profiled.iterations + second.iterations;
  return isMaximum(second) ? { ...second, iterations } : { ...first, iterations };
}

/** The line search can end in rounding right at the top; the score tells that from a failure. */
export const isMaximum = ({ outcome, score }: LikelihoodMaximum): boolean =>
  outcome === 'converged' || (outcome === 'stuck' && score < 1e-6);

export const commonStart = (design: Design, tau: number): Float64Array => {
  const predictor = matchingPredictor(design, tau);
  return design.ones.map((share) => share * predictor);
};

function freely(
  likelihood: LogLikelihood,
  startDelta: Float64Array,
  startTau: number,
  maxIterations: number,
): LikelihoodMaximum {
  const width = startDelta.length;
  const objective: Objective = (at, gradient, hessian) =>
    at[width] > 0 ? likelihood.derivatives(at.subarray(0, width), at[width], gradient, hessian) : Number.NaN;
  // tau may change by a factor of five at most in one step.
  const longestStep = (at: Float64Array, step: Float64Array): number => {
    const change = step[width] / at[width];
    if (change > 4) return 4 / change;
    return change < -0.8 ? -0.8 / change : 1;
  };
  const start = Float64Array.of(...startDelta, startTau);
  const result = maximise(objective, start, { maxIterations, longestStep });
  return {
    delta: result.at.slice(0, width),
    tau: result.at[width],
    iterations: result.iterations,
    outcome: result.outcome,
    score: scoreInErrors(result),
    value: result.value,
    gradient: result.gradient,
    hessian: result.hessian,
  };
}

function atFixedTau(
  likelihood: LogLikelihood,
  startDelta: Float64Array,
  tau: number,
  maxIterations: number,
): LikelihoodMaximum {
  const width = startDelta.length;
  const inner = new Float64Array(width + 1);
  const innerHessian = new Float64Array((width + 1) * (width + 1));
  const objective: Objective = (at, gradient, hessian) => {
    const value = likelihood.derivatives(at, tau, inner, innerHessian);
    gradient.set(inner.subarray(0, width));
    for (let j = 0; j < width; j++)
      for (let k = 0; k < width; k++) hessian[j * width + k] = innerHessian[j * (width + 1) + k];
    return value;
  };
  const result = maximise(objective, startDelta, { maxIterations });
  return {
    delta: result.at,
    tau,
    iterations: result.iterations,
    outcome: result.outcome,
    score: scoreInErrors(result),
    value: result.value,
    gradient: result.gradient,
    hessian: result.hessian,
  };
}

const PROFILE_FROM = Math.log(0.05);
const PROFILE_TO = Math.log(50);
const PROFILE_POINTS = 24;

/** Best of a ladder of fixed tau, each started from its neighbour's solution; null where none could be fitted. */
function profileTau(design: Design, likelihood: LogLikelihood, maxIterations: number): LikelihoodMaximum | null {
  let best: LikelihoodMaximum | null = null;
  let iterations = 0;
  for (let k = 0; k <= PROFILE_POINTS; k++) {
    const tau = Math.exp(PROFILE_FROM + ((PROFILE_TO - PROFILE_FROM) * k) / PROFILE_POINTS);
    const fitted = atFixedTau(likelihood, commonStart(design, tau), tau, maxIterations);
    iterations += fitted.iterations;
    if (isMaximum(fitted) && (best === null || fitted.value > best.value)) best = fitted;
  }
  return best && { ...best, iterations };
}

function scoreInErrors({ gradient, hessian }: NewtonResult): number {
  const n = gradient.length;
  let worst = 0;
  for (let j = 0; j < n; j++) {
    const information = -hessian[j * n + j];
    const score = Math.abs(gradient[j]) / Math.sqrt(information);
    worst = Math.max(worst, gradient[j] === 0 ? 0 : Number.isFinite(score) ? score : Infinity);
  }
  return worst;
}
