import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import type { AftFit } from './aft.ts';
import { standardCumulativeHazard, standardHazard, standardQuantile } from './families.ts';

/** Intervals from the covariance of a fit: good from about fifty failures on; with fewer, use posterior draws. */
export interface Estimate {
  readonly estimate: number;
  /** null where the fit has no covariance. */ readonly standardError: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
}

/** x'beta: `covariates` in the order of the fit's names, without the intercept. */
export function linearPredictor(fit: AftFit, covariates: ArrayLike<number>): number {
  return designRow(fit, covariates).reduce((sum, x, j) => sum + x * fit.coefficients[j], 0);
}

/**
 * The age by which a share `p` of such seals has failed, with a `level` interval made on the log scale.
 * @throws RangeError where p or level is not between 0 and 1 or covariates are missing
 */
export function lifeQuantile(
  fit: AftFit,
  covariates: ArrayLike<number>,
  { p, level = 0.9 }: { readonly p: number; readonly level?: number },
): Estimate {
  const row = designRow(fit, covariates);
  const z = standardQuantile(fit.family, p);
  const age = Math.exp(linearPredictor(fit, covariates) + fit.scale * z);
  const logError = errorOf(fit, [...row, fit.scale * z]);
  if (logError === null) return withoutInterval(age);
  const reach = Math.exp(twoSided(level) * logError);
  return { estimate: age, standardError: age * logError, lower: age / reach, upper: age * reach };
}

/**
 * Chance that a seal known sound at `age` fails within `horizon`, in the fit's unit of time, with a `level` interval
 * made on the scale of the log cumulative hazard, so that it stays within 0 and 1.
 * @throws RangeError where age is below 0, horizon not above 0 or level not between 0 and 1
 */
export function conditionalFailure(
  fit: AftFit,
  covariates: ArrayLike<number>,
  { age, horizon, level = 0.9 }: { readonly age: number; readonly horizon: number; readonly level?: number },
): Estimate {
  if (!(age >= 0 && age < Infinity)) throw new RangeError(`age is ${age}; expected 0 or more`);
  if (!(horizon > 0 && horizon < Infinity)) throw new RangeError(`horizon is ${horizon}; expected above 0`);
  const row = designRow(fit, covariates);
  const mu = linearPredictor(fit, covariates);
  const from = hazardParts(fit, (Math.log(age) - mu) / fit.scale);
  const to = hazardParts(fit, (Math.log(age + horizon) - mu) / fit.scale);
  const hazard = to.cumulative - from.cumulative;
  const estimate = -Math.expm1(-hazard);
  if (!(hazard > 0 && hazard < Infinity)) return withoutInterval(estimate);
  const perPredictor = (from.slope - to.slope) / (fit.scale * hazard);
  const perLogScale = (from.moment - to.moment) / hazard;
  const logError = errorOf(fit, [...row.map((x) => x * perPredictor), perLogScale]);
  if (logError === null) return withoutInterval(estimate);
  const reach = Math.exp(twoSided(level) * logError);
  return {
    estimate,
    standardError: (1 - estimate) * hazard * logError,
    lower: -Math.expm1(-hazard / reach),
    upper: -Math.expm1(-hazard * reach),
  };
}

const withoutInterval = (estimate: number): Estimate => ({ estimate, standardError: null, lower: null, upper: null });

function hazardParts({ family }: AftFit, z: number) {
  if (z === -Infinity) return { cumulative: 0, slope: 0, moment: 0 };
  const slope = standardHazard(family, z);
  return { cumulative: standardCumulativeHazard(family, z), slope, moment: z * slope };
}

function designRow({ names }: AftFit, covariates: ArrayLike<number>): number[] {
  const row = names[0] === '(Intercept)' ? [1, ...Array.from(covariates)] : Array.from(covariates);
  if (row.length !== names.length)
    throw new RangeError(`${covariates.length} covariates given; expected the fit's: ${names.join(', ')}`);
  return row;
}

/** Standard error of a quantity from its gradient in (coefficients, log sigma); null without a covariance. */
function errorOf({ covariance, names }: AftFit, gradient: readonly number[]): number | null {
  if (!covariance) return null;
  // The exponential has no log sigma.
  const size = Math.round(Math.sqrt(covariance.length));
  const used = gradient.slice(0, Math.max(size, names.length));
  let variance = 0;
  for (let j = 0; j < size; j++)
    for (let k = 0; k < size; k++) variance += used[j] * covariance[j * size + k] * used[k];
  return Math.sqrt(Math.max(0, variance));
}

function twoSided(level: number): number {
  if (!(level > 0 && level < 1)) throw new RangeError(`level is ${level}; expected between 0 and 1`);
  return normalQuantile((1 + level) / 2, 0, 1);
}
