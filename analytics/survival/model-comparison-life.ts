import type { AftData, AftFit } from './aft.ts';
import { type Estimate, lifeQuantile, linearPredictor } from './delta-method.ts';
import { standardQuantile, survivalAt } from './families.ts';
import type { GeneralisedGammaFit } from './generalised-gamma.ts';
import {
  generalisedGammaQuantile,
  generalisedGammaStandardQuantile,
  generalisedGammaSurvival,
} from './generalised-gamma-life.ts';

/** A fit of any family, read the same way. */
export type FittedModel = AftFit | GeneralisedGammaFit;

/** The age by which a share `p` has failed, with its interval. @throws RangeError as `lifeQuantile` */
export const lifeQuantileOf = (
  fit: FittedModel,
  covariates: ArrayLike<number>,
  options: { readonly p: number; readonly level?: number },
): Estimate =>
  fit.family === 'generalised-gamma'
    ? generalisedGammaQuantile(fit, covariates, options)
    : lifeQuantile(fit, covariates, options);

/** Chance of lasting beyond an age, 0 or more. */
export const survivalOf = (fit: FittedModel, covariates: ArrayLike<number>, age: number): number =>
  fit.family === 'generalised-gamma'
    ? generalisedGammaSurvival(fit, covariates, age)
    : survivalAt(fit.family, Math.log(age), linearPredictor(fit, covariates), fit.scale);

/** Quantile of the family's standard distribution: the height of a share on its probability paper. */
export const paperHeight = (fit: FittedModel, p: number): number =>
  fit.family === 'generalised-gamma' ? generalisedGammaStandardQuantile(p, fit.q) : standardQuantile(fit.family, p);

/** Weighted mean of each covariate: the average seal. */
export function meanCovariates({ covariates, names, weight }: AftData): Float64Array {
  const mean = new Float64Array(names.length);
  let total = 0;
  for (let i = 0; i < weight.length; i++) {
    total += weight[i];
    for (let j = 0; j < names.length; j++) mean[j] += weight[i] * covariates[i * names.length + j];
  }
  return mean.map((sum) => sum / total);
}
