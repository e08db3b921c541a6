import { maximise, type NewtonResult } from '../numeric/newton.ts';
import type { AftPrior, Family } from './aft.ts';
import { LARGEST_EFFECT } from './fit-status.ts';
import { type LogLikelihood, logLikelihood } from './log-likelihood.ts';
import { commonStart, isMaximum, type LikelihoodMaximum, maximiseLikelihood } from './maximise-likelihood.ts';
import { changeVariables, posteriorDensity, priorValue } from './posterior-density.ts';
import type { Design } from './standardise.ts';
import { thinDesign } from './thin-design.ts';

/** Where the search for the best parameters ended. */
export interface Mode {
  /** Standardised coefficients, then log sigma where it is estimated. */ readonly theta: Float64Array;
  /** Of the log-likelihood, plus log prior where there is one, in theta. */ readonly hessian: Float64Array;
  /** Of the data alone. */ readonly logLikelihood: number;
  readonly iterations: number;
  readonly reachedMaximum: boolean;
  readonly finite: boolean;
  /** Largest |score| in standard errors. */ readonly score: number;
}

export interface Search {
  readonly design: Design;
  readonly family: Family;
  /** null: plain maximum likelihood. */ readonly prior: AftPrior | null;
  /** True for the exponential: sigma is 1. */ readonly fixedScale: boolean;
  readonly likelihood: LogLikelihood;
  readonly maxIterations: number;
}

/** Maximum of the likelihood, or of the posterior where there is a prior. */
export function findMode(search: Search): Mode {
  const near = modeOfPart(search);
  return search.prior ? maximisePosterior(search, search.prior, near) : maximum(search, near);
}

/**
 * With more rows than four times this the search begins on a part of them, or on a tenth if that is more, which leaves a few
 * full steps to do.
 */
const ROWS_FOR_START = 20_000;
const SHARE_FOR_START = 0.1;
const STEPS_FOR_START = 20;

/** null where there are not many rows, or where the part says nothing that can be trusted. */
function modeOfPart({ design, family, prior, fixedScale }: Search): Float64Array | null {
  const rows = design.kind.length;
  if (rows < 4 * ROWS_FOR_START) return null;
  const part = thinDesign(design, Math.min(rows / ROWS_FOR_START, 1 / SHARE_FOR_START));
  const likelihood = logLikelihood(part, family);
  const search = { design: part, family, prior, fixedScale, likelihood, maxIterations: STEPS_FOR_START };
  const { theta, reachedMaximum, finite } = findMode(search);
  const sane = finite && theta.every((value) => Math.abs(value) < LARGEST_EFFECT);
  return reachedMaximum && sane ? theta : null;
}

function maximum(search: Search, near: Float64Array | null): Mode {
  const { design, likelihood, fixedScale } = search;
  const width = design.kept.length;
  const tau = near && !fixedScale ? Math.exp(-near[width]) : 1;
  const start = near && { delta: near.subarray(0, width).map((b) => b * tau), tau };
  const found = maximiseLikelihood(design, likelihood, { ...search, start });
  const coefficients = found.delta.map((d) => d / found.tau);
  return {
    theta: fixedScale ? coefficients : Float64Array.of(...coefficients, -Math.log(found.tau)),
    hessian: fixedScale ? found.hessian : hessianInLogScale(found),
    logLikelihood: found.value,
    iterations: found.iterations,
    reachedMaximum: isMaximum(found),
    finite: found.outcome !== 'nonfinite' && coefficients.every(Number.isFinite),
    score: found.score,
  };
}

function hessianInLogScale({ delta, tau, gradient, hessian }: LikelihoodMaximum): Float64Array {
  const size = delta.length + 1;
  const out = new Float64Array(size * size);
  const inner = { inner: gradient, innerHessian: hessian };
  changeVariables({ delta, tau, ...inner, size, gradient: new Float64Array(size), hessian: out });
  return out;
}

/** The prior is not concave in (delta, tau), so this stage works in (b, log sigma), from several shapes if it must. */
function maximisePosterior(search: Search, prior: AftPrior, near: Float64Array | null): Mode {
  const { design, likelihood, fixedScale, maxIterations } = search;
  const width = design.kept.length;
  const { derivatives } = posteriorDensity({ design, likelihood, prior, fixedScale });
  const expected = Number.isFinite(prior.logScaleSd) ? Math.exp(-prior.logScaleMean) : 2;
  const longestStep = (_at: Float64Array, step: Float64Array): number =>
    fixedScale ? 1 : Math.min(1, Math.log(5) / Math.abs(step[width]));
  const startAt = (tau: number) => (): Float64Array => {
    const coefficients = commonStart(design, tau).map((d) => d / tau);
    return fixedScale ? coefficients : Float64Array.of(...coefficients, -Math.log(tau));
  };
  const starts = [...(near ? [() => near] : []), ...(fixedScale ? [1] : [expected, 1, 4]).map(startAt)];
  let iterations = 0;
  let mode: Mode | null = null;
  for (const start of starts) {
    const result = maximise(derivatives, start(), { maxIterations, longestStep });
    iterations += result.iterations;
    mode = posteriorMode(result, iterations, result.value - priorValue(design, prior, result.at, fixedScale));
    if (mode.reachedMaximum) break;
  }
  return mode as Mode;
}

function posteriorMode(
  { at, gradient, hessian, outcome }: NewtonResult,
  iterations: number,
  logLikelihoodThere: number,
): Mode {
  const score = scoreOf(gradient, hessian);
  return {
    theta: at,
    hessian,
    logLikelihood: logLikelihoodThere,
    iterations,
    reachedMaximum: outcome === 'converged' || (outcome === 'stuck' && score < 1e-6),
    finite: outcome !== 'nonfinite',
    score,
  };
}

function scoreOf(gradient: Float64Array, hessian: Float64Array): number {
  const n = gradient.length;
  let worst = 0;
  for (let j = 0; j < n; j++)
    if (gradient[j] !== 0) worst = Math.max(worst, Math.abs(gradient[j]) / Math.sqrt(Math.max(0, -hessian[j * n + j])));
  return worst;
}
