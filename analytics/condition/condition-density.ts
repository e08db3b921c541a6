import type { ChunkSums } from '../numeric/chunk-sums.ts';
import type { Objective } from '../numeric/newton.ts';
import type { AftPrior, Family } from '../survival/aft.ts';
import { DERIVATIVES, sumLengthOf, VALUE } from '../survival/likelihood-chunks.ts';
import type { LogLikelihood } from '../survival/log-likelihood.ts';
import { posteriorDensity } from '../survival/posterior-density.ts';
import type { Design } from '../survival/standardise.ts';
import type { ConditionPrior } from './condition.ts';
import { conditionPoint } from './condition-chunks.ts';
import type { ThetaPlaces } from './row-sums.ts';

export interface ConditionDensity {
  readonly places: ThetaPlaces;
  /** Log-likelihood plus log prior. */ readonly value: (theta: Float64Array) => number;
  /** The same with gradient and Hessian. */ readonly derivatives: Objective;
  /** Log prior alone. */ readonly logPrior: (theta: Float64Array) => number;
  /** omega: SD of the normal prior on b. */ inspectorSd: number;
  /** Only one in so many rows counts: 1, or more where a part of very many will do. */ oneIn: number;
}

export interface ConditionParts {
  readonly design: Design;
  readonly places: ThetaPlaces;
  readonly prior: AftPrior | null;
  readonly conditionPrior: ConditionPrior;
  readonly inspectorSd: number;
  /** Of the chunks of `CONDITION_SUMS`, by whichever threads. */ readonly sums: ChunkSums;
}

/** One inspector alone cannot be told from the average one. */
export const LEAST_INSPECTORS = 2;

/**
 * Penalised marginal log-likelihood of the condition model: rows with readings are integrated over the seal's own effect.
 * Theta is in standardised coefficients (see `standardise`).
 */
export function conditionDensity(parts: ConditionParts): ConditionDensity {
  const { design, places, prior, conditionPrior, sums } = parts;
  const { size } = places;
  const stride = sumLengthOf(size);
  const shift = new Float64Array(places.inspectors);
  const life = priorOfLife(design, prior, places);
  let inspectorSd = parts.inspectorSd;
  let oneIn = 1;

  // A search asks again at the point where the one before ended: for its value, or where only the prior has changed.
  let last: { readonly wanted: number; readonly point: Float64Array; readonly sums: Float64Array } | null = null;
  const sumsAt = (wanted: number, theta: Float64Array): Float64Array => {
    centredInto(shift, theta, places);
    const point = conditionPoint(oneIn, theta, shift);
    if (last && (last.wanted === wanted || wanted === VALUE) && last.point.every((value, k) => value === point[k]))
      return last.sums;
    last = { wanted, point, sums: sums(wanted, point) };
    return last.sums;
  };
  const totalOf = (all: Float64Array): number => {
    let total = 0;
    for (let at = 0; at < all.length; at += stride) total += all[at];
    return total;
  };
  const logPrior = (theta: Float64Array): number =>
    life.value(theta) + growthPrior(theta, places, conditionPrior, inspectorSd, null);

  const derivatives: Objective = (theta, gradient, hessian) => {
    const lifeValue = life.into(theta, gradient, hessian);
    const all = sumsAt(DERIVATIVES, theta);
    for (let at = 0; at < all.length; at += stride) {
      for (let a = 0; a < size; a++) {
        gradient[a] += all[at + 1 + a];
        for (let b = 0; b <= a; b++) hessian[a * size + b] += all[at + 1 + size + a * size + b];
      }
    }
    centreDerivatives(gradient, hessian, places);
    const growth = growthPrior(theta, places, conditionPrior, inspectorSd, { gradient, hessian });
    return totalOf(all) + lifeValue + growth;
  };

  return {
    places,
    logPrior,
    derivatives,
    value: (theta) => totalOf(sumsAt(VALUE, theta)) + logPrior(theta),
    get inspectorSd() {
      return inspectorSd;
    },
    set inspectorSd(value: number) {
      inspectorSd = value;
    },
    get oneIn() {
      return oneIn;
    },
    set oneIn(value: number) {
      oneIn = value;
    },
  };
}

export function placesOf(width: number, family: Family, named: number): ThetaPlaces {
  const fixed = family === 'exponential';
  const logExponent = fixed ? width : width + 1;
  const inspectors = named >= LEAST_INSPECTORS ? named : 0;
  const firstShift = logExponent + 2;
  return {
    width,
    logSigma: fixed ? -1 : width,
    logExponent,
    logReadingSd: logExponent + 1,
    firstShift,
    inspectors,
    size: firstShift + inspectors,
  };
}

/** c = b - mean(b). */
export function centredInto(shift: Float64Array, theta: Float64Array, { firstShift, inspectors }: ThetaPlaces): void {
  let mean = 0;
  for (let k = 0; k < inspectors; k++) mean += theta[firstShift + k] / inspectors;
  for (let k = 0; k < inspectors; k++) shift[k] = theta[firstShift + k] - mean;
}

/** The prior on coefficients and log sigma, in the places that they have in theta. */
function priorOfLife(design: Design, prior: AftPrior | null, places: ThetaPlaces) {
  const nothing: LogLikelihood = {
    value: () => 0,
    derivatives: (_delta, _tau, gradient, hessian) => {
      gradient.fill(0);
      hessian.fill(0);
      return 0;
    },
  };
  const density = posteriorDensity({ design, likelihood: nothing, prior, fixedScale: places.logSigma < 0 });
  const { size } = density;
  const inner = new Float64Array(size);
  const innerHessian = new Float64Array(size * size);
  return {
    value: (theta: Float64Array) => density.value(theta.subarray(0, size)),
    into(theta: Float64Array, gradient: Float64Array, hessian: Float64Array): number {
      gradient.fill(0);
      hessian.fill(0);
      const value = density.derivatives(theta.subarray(0, size), inner, innerHessian);
      for (let a = 0; a < size; a++) {
        gradient[a] = inner[a];
        for (let b = 0; b < size; b++) hessian[a * places.size + b] = innerHessian[a * size + b];
      }
      return value;
    },
  };
}

/** From derivatives in c to those in b, where c = b - mean(b); then the upper triangle is copied from the lower. */
function centreDerivatives(gradient: Float64Array, hessian: Float64Array, places: ThetaPlaces): void {
  const { firstShift, inspectors, size } = places;
  for (let a = 0; a < size; a++) for (let b = 0; b < a; b++) hessian[b * size + a] = hessian[a * size + b];
  if (inspectors === 0) return;
  let mean = 0;
  for (let k = 0; k < inspectors; k++) mean += gradient[firstShift + k] / inspectors;
  for (let k = 0; k < inspectors; k++) gradient[firstShift + k] -= mean;
  for (let a = 0; a < size; a++) {
    mean = 0;
    for (let k = 0; k < inspectors; k++) mean += hessian[a * size + firstShift + k] / inspectors;
    for (let k = 0; k < inspectors; k++) hessian[a * size + firstShift + k] -= mean;
  }
  for (let a = 0; a < size; a++) {
    mean = 0;
    for (let k = 0; k < inspectors; k++) mean += hessian[(firstShift + k) * size + a] / inspectors;
    for (let k = 0; k < inspectors; k++) hessian[(firstShift + k) * size + a] -= mean;
  }
}

/** Normal priors on log m, log tau and b, without their constants. */
function growthPrior(
  theta: Float64Array,
  places: ThetaPlaces,
  prior: ConditionPrior,
  inspectorSd: number,
  into: { gradient: Float64Array; hessian: Float64Array } | null,
): number {
  const { logExponent, logReadingSd, firstShift, inspectors, size } = places;
  let value = 0;
  const pull = (at: number, mean: number, sd: number): void => {
    const z = (theta[at] - mean) / sd;
    value -= 0.5 * z * z;
    if (!into) return;
    into.gradient[at] -= z / sd;
    into.hessian[at * size + at] -= 1 / (sd * sd);
  };
  pull(logExponent, prior.logExponentMean, prior.logExponentSd);
  pull(logReadingSd, prior.logReadingSdMean, prior.logReadingSdSd);
  for (let k = 0; k < inspectors; k++) pull(firstShift + k, 0, inspectorSd);
  return value;
}
