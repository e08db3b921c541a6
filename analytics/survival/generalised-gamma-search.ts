import { maximise, type NewtonResult, type Objective } from '../numeric/newton.ts';
import type { AftPrior, Family } from './aft.ts';
import { generalisedGammaLikelihood } from './generalised-gamma-likelihood.ts';
import { type LogLikelihood, logLikelihood } from './log-likelihood.ts';
import { commonStart, maximiseLikelihood } from './maximise-likelihood.ts';
import { posteriorDensity } from './posterior-density.ts';
import type { Design } from './standardise.ts';

/** Q beyond this is no life distribution that anybody has met; the search does not go there. */
export const LARGEST_Q = 5;
/** Step of the central differences in Q; derivatives in the coefficients and log sigma are analytic. */
const Q_STEP = 1e-4;
interface Special {
  readonly q: number;
  readonly family: Family;
}
const SPECIAL: readonly Special[] = [
  { q: 1, family: 'weibull' },
  { q: 0, family: 'lognormal' },
];
/** Distinct rows from which on one start is enough. */
const MANY_ROWS = 20_000;
const LADDER = [-2, -1, 0.5, 2, 3];

/** Log-likelihood plus log prior in standardised coefficients, log sigma and Q. */
export function objectiveIn(design: Design, prior: AftPrior | null): Objective {
  const inner = design.kept.length + 1;
  const size = inner + 1;
  const above = new Float64Array(inner);
  const below = new Float64Array(inner);
  const middle = new Float64Array(inner);
  const hessianAt = new Float64Array(inner * inner);
  const at = (q: number, theta: Float64Array, gradient: Float64Array): number =>
    densityAt(design, prior, q).derivatives(theta, gradient, hessianAt);

  return (point, gradient, hessian) => {
    const q = point[inner];
    if (!(Math.abs(q) <= LARGEST_Q)) return Number.NaN;
    const theta = point.subarray(0, inner);
    const up = at(q + Q_STEP, theta, above);
    const down = at(q - Q_STEP, theta, below);
    const value = at(q, theta, middle);
    gradient.set(middle);
    gradient[inner] = (up - down) / (2 * Q_STEP);
    for (let j = 0; j < inner; j++) {
      for (let k = 0; k < inner; k++) hessian[j * size + k] = hessianAt[j * inner + k];
      hessian[j * size + inner] = hessian[inner * size + j] = (above[j] - below[j]) / (2 * Q_STEP);
    }
    hessian[inner * size + inner] = (up - 2 * value + down) / Q_STEP ** 2;
    return value;
  };
}

const densityAt = (design: Design, prior: AftPrior | null, q: number) =>
  posteriorDensity({ design, likelihood: generalisedGammaLikelihood(design, q), prior, fixedScale: false });

/**
 * Newton from the optima at Q = 1 and Q = 0, the likelier first. With many rows, which leave one top only, the first
 * is enough; where neither leads to a maximum, from a ladder of other Q.
 */
export function search(design: Design, prior: AftPrior | null, objective: Objective, maxIterations: number): Found {
  const inner = design.kept.length + 1;
  const longestStep = (_at: Float64Array, step: Float64Array): number =>
    Math.min(1, Math.log(5) / Math.abs(step[inner - 1]), 0.75 / Math.abs(step[inner]));
  const tops: Found[] = [];
  let iterations = 0;
  const climb = ({ theta, q }: Start): void => {
    const result = maximise(objective, Float64Array.of(...theta, q), { maxIterations, longestStep });
    iterations += result.iterations;
    tops.push(asFound(result, iterations));
  };
  const reached = (): boolean => tops.some(({ reachedMaximum }) => reachedMaximum);
  const starts = SPECIAL.map((special) => startAtSpecial(design, prior, special, maxIterations));
  for (const start of starts.sort((a, b) => b.value - a.value))
    if (!reached() || design.kind.length <= MANY_ROWS) climb(start);
  for (const q of LADDER) if (!reached()) climb(startAt(design, prior, q, maxIterations));
  const best = tops.reduce((a, b) => (isBetter(b, a) ? b : a));
  return { ...best, iterations };
}

function isBetter(a: Found, b: Found): boolean {
  if (a.finite !== b.finite) return a.finite;
  // Of two ways to the same top, the one that is proved to be there.
  if (a.reachedMaximum !== b.reachedMaximum && Math.abs(a.value - b.value) < 1e-6) return a.reachedMaximum;
  return a.value > b.value;
}

interface Start {
  readonly theta: Float64Array;
  readonly q: number;
  readonly value: number;
}

/** The special cases have kernels of their own that are several times faster. */
const startAtSpecial = (design: Design, prior: AftPrior | null, { q, family }: Special, maxIterations: number): Start =>
  startFrom({ design, prior, q, maxIterations, likelihood: logLikelihood(design, family) });

const startAt = (design: Design, prior: AftPrior | null, q: number, maxIterations: number): Start =>
  startFrom({ design, prior, q, maxIterations, likelihood: generalisedGammaLikelihood(design, q) });

interface StartParts {
  readonly design: Design;
  readonly prior: AftPrior | null;
  readonly q: number;
  readonly maxIterations: number;
  readonly likelihood: LogLikelihood;
}

const orLowest = (value: number): number => (Number.isFinite(value) ? value : -Number.MAX_VALUE);

function startFrom({ design, prior, q, maxIterations, likelihood }: StartParts): Start {
  if (!prior) {
    const { delta, tau } = maximiseLikelihood(design, likelihood, { fixedScale: false, maxIterations });
    const value = likelihood.value(delta, tau);
    return { theta: Float64Array.of(...delta.map((d) => d / tau), -Math.log(tau)), q, value: orLowest(value) };
  }
  const start = Float64Array.of(...commonStart(design, 2).map((d) => d / 2), -Math.LN2);
  const { derivatives } = posteriorDensity({ design, likelihood, prior, fixedScale: false });
  const { at, value } = maximise(derivatives, start, { maxIterations });
  return { theta: at, q, value: orLowest(value) };
}

/** Where the search ended. */
export interface Found {
  /** Standardised coefficients, log sigma, Q. */ readonly at: Float64Array;
  readonly value: number;
  readonly hessian: Float64Array;
  readonly iterations: number;
  readonly reachedMaximum: boolean;
  readonly finite: boolean;
  readonly score: number;
}

function asFound({ at, value, gradient, hessian, outcome }: NewtonResult, iterations: number): Found {
  let score = 0;
  gradient.forEach((g, j) => {
    if (g !== 0) score = Math.max(score, Math.abs(g) / Math.sqrt(Math.max(0, -hessian[j * gradient.length + j])));
  });
  // Differences in Q carry rounding, so the line search may end a hair before the decrement does.
  const reachedMaximum = outcome === 'converged' || (outcome === 'stuck' && score < 1e-5);
  return { at, value, hessian, iterations, reachedMaximum, finite: outcome !== 'nonfinite', score };
}
