import type { Objective } from '../numeric/newton.ts';
import type { AftPrior } from './aft.ts';
import type { LogLikelihood } from './log-likelihood.ts';
import { type Design, originalCoefficients } from './standardise.ts';

/**
 * Log-likelihood plus log prior (without its constants) in the standardised coefficients b and log sigma.
 * theta: b, then log sigma unless the scale is fixed at 1. Without a prior it is the log-likelihood alone.
 */
export interface PosteriorDensity {
  readonly size: number;
  readonly value: (theta: Float64Array) => number;
  readonly derivatives: Objective;
}

export interface DensityParts {
  readonly design: Design;
  readonly likelihood: LogLikelihood;
  readonly prior: AftPrior | null;
  /** True for the exponential: sigma is 1. */ readonly fixedScale: boolean;
}

export function posteriorDensity({ design, likelihood, prior, fixedScale }: DensityParts): PosteriorDensity {
  const width = design.kept.length;
  const size = fixedScale ? width : width + 1;
  const delta = new Float64Array(width);
  const inner = new Float64Array(width + 1);
  const innerHessian = new Float64Array((width + 1) * (width + 1));
  const penalty = prior && standardisedPrior(design, prior);

  const value = (theta: Float64Array): number => {
    const tau = fixedScale ? 1 : Math.exp(-theta[width]);
    for (let j = 0; j < width; j++) delta[j] = theta[j] * tau;
    const data = likelihood.value(delta, tau);
    return prior ? data + priorValue(design, prior, theta, fixedScale) : data;
  };

  const derivatives: Objective = (theta, gradient, hessian) => {
    const tau = fixedScale ? 1 : Math.exp(-theta[width]);
    for (let j = 0; j < width; j++) delta[j] = theta[j] * tau;
    let total = likelihood.derivatives(delta, tau, inner, innerHessian);
    changeVariables({ delta, tau, inner, innerHessian, size, gradient, hessian });
    if (prior && penalty) {
      total += priorValue(design, prior, theta, fixedScale);
      for (let j = 0; j < width; j++) {
        gradient[j] += penalty.pull[j];
        for (let k = 0; k < width; k++) {
          gradient[j] -= penalty.precision[j * width + k] * theta[k];
          hessian[j * size + k] -= penalty.precision[j * width + k];
        }
      }
      if (!fixedScale) {
        const precision = 1 / prior.logScaleSd ** 2;
        gradient[width] -= precision * (theta[width] - prior.logScaleMean);
        hessian[width * size + width] -= precision;
      }
    }
    return total;
  };
  return { size, value, derivatives };
}

interface Change {
  readonly delta: Float64Array;
  readonly tau: number;
  readonly inner: Float64Array;
  readonly innerHessian: Float64Array;
  readonly size: number;
  readonly gradient: Float64Array;
  readonly hessian: Float64Array;
}

/** Chain rule from (delta, tau) to (b, s) with delta = b e^-s and tau = e^-s; without s where the scale is fixed. */
export function changeVariables({ delta, tau, inner, innerHessian, size, gradient, hessian }: Change): void {
  const width = delta.length;
  const innerSize = width + 1;
  for (let j = 0; j < width; j++) {
    gradient[j] = tau * inner[j];
    for (let k = 0; k < width; k++) hessian[j * size + k] = tau * tau * innerHessian[j * innerSize + k];
  }
  if (size === width) return;
  let slope = tau * inner[width];
  let curvature = tau * tau * innerHessian[width * innerSize + width];
  for (let j = 0; j < width; j++) {
    let along = tau * innerHessian[width * innerSize + j];
    for (let k = 0; k < width; k++) along += innerHessian[j * innerSize + k] * delta[k];
    slope += delta[j] * inner[j];
    curvature += delta[j] * (along + tau * innerHessian[width * innerSize + j]);
    hessian[width * size + j] = hessian[j * size + width] = -tau * (along + inner[j]);
  }
  gradient[width] = -slope;
  hessian[width * size + width] = curvature + slope;
}

/** Log density of the prior, without its constants, at standardised coefficients and log sigma. */
export function priorValue(design: Design, prior: AftPrior, theta: Float64Array, fixedScale: boolean): number {
  const width = design.kept.length;
  let sum = 0;
  for (let j = 0; j < design.names.length; j++) {
    if (!Number.isFinite(prior.sds[j])) continue;
    let coefficient = design.shift[j];
    for (let k = 0; k < width; k++) coefficient += design.back[j * width + k] * theta[k];
    sum -= 0.5 * ((coefficient - prior.means[j]) / prior.sds[j]) ** 2;
  }
  return fixedScale ? sum : sum - 0.5 * ((theta[width] - prior.logScaleMean) / prior.logScaleSd) ** 2;
}

/** The prior's precision matrix and linear term on the standardised scale. */
export function standardisedPrior(design: Design, prior: AftPrior): { precision: Float64Array; pull: Float64Array } {
  const width = design.kept.length;
  const precision = new Float64Array(width * width);
  const pull = new Float64Array(width);
  for (let j = 0; j < design.names.length; j++) {
    if (!Number.isFinite(prior.sds[j])) continue;
    const weight = 1 / prior.sds[j] ** 2;
    for (let k = 0; k < width; k++) {
      const share = weight * design.back[j * width + k];
      if (share === 0) continue;
      pull[k] += share * (prior.means[j] - design.shift[j]);
      for (let m = 0; m < width; m++) precision[k * width + m] += share * design.back[j * width + m];
    }
  }
  return { precision, pull };
}

/** Original coefficients and scale of a point theta. */
export function pointToModel(
  design: Design,
  theta: Float64Array,
  fixedScale: boolean,
): { coefficients: Float64Array; scale: number } {
  const width = design.kept.length;
  return {
    coefficients: originalCoefficients(design, theta.subarray(0, width)),
    scale: fixedScale ? 1 : Math.exp(theta[width]),
  };
}
