import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import type { Estimate } from './delta-method.ts';
import type { GeneralisedGammaFit } from './generalised-gamma.ts';
import { type GeneralisedGammaTerms, generalisedGammaTerms } from './generalised-gamma-terms.ts';

/** Step of the difference in Q of a quantile. */
const Q_STEP = 1e-4;

/**
 * The z below which a share p of lives ends: log T's quantile is mu + sigma times it.
 * @throws RangeError where p is not between 0 and 1, both left out
 */
export function generalisedGammaStandardQuantile(p: number, q: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`p is ${p}; expected above 0 and below 1`);
  const terms = generalisedGammaTerms(q);
  const target = Math.log(-Math.log1p(-p));
  let z = normalQuantile(p, 0, 1);
  let low = -Infinity;
  let high = Infinity;
  for (let step = 0; step < 100; step++) {
    const gap = Math.log(terms.cumulativeHazard(z)) - target;
    if (gap > 0) high = z;
    else low = z;
    const next = z - newtonStep(terms, z, gap);
    const inside = next > low && next < high && Number.isFinite(next);
    const chosen = inside ? next : middle(low, high, z);
    if (Math.abs(chosen - z) <= 1e-15 * Math.max(1, Math.abs(z))) return chosen;
    z = chosen;
  }
  return z;
}

/** The log of the cumulative hazard is nearly straight in z. */
const newtonStep = (terms: GeneralisedGammaTerms, z: number, gap: number): number => {
  const step = (gap * terms.cumulativeHazard(z)) / terms.hazard(z);
  return Math.max(-4, Math.min(4, step));
};

const middle = (low: number, high: number, z: number): number => {
  if (low === -Infinity) return Math.min(z, high) - 2;
  return high === Infinity ? Math.max(z, low) + 2 : (low + high) / 2;
};

const predictorOf = (fit: GeneralisedGammaFit, row: readonly number[]): number =>
  row.reduce((sum, x, j) => sum + x * fit.coefficients[j], 0);

/** Chance, 0 to 1, of lasting beyond an age (0 or more, in the fit's unit). Covariates without the intercept. */
export function generalisedGammaSurvival(fit: GeneralisedGammaFit, covariates: ArrayLike<number>, age: number): number {
  if (age === 0) return 1;
  const z = (Math.log(age) - predictorOf(fit, designRow(fit, covariates))) / fit.scale;
  return Math.exp(-generalisedGammaTerms(fit.q).cumulativeHazard(z));
}

/** Failure rate, per unit of time, among seals still sound at an age above 0. */
export function generalisedGammaHazard(fit: GeneralisedGammaFit, covariates: ArrayLike<number>, age: number): number {
  if (!(age > 0)) throw new RangeError(`age is ${age}; expected above 0`);
  const z = (Math.log(age) - predictorOf(fit, designRow(fit, covariates))) / fit.scale;
  return generalisedGammaTerms(fit.q).hazard(z) / (fit.scale * age);
}

/**
 * The age by which a share `p` of such seals has failed, with a `level` interval made on the log scale.
 * @throws RangeError where p or level is not between 0 and 1 or covariates are missing
 */
export function generalisedGammaQuantile(
  fit: GeneralisedGammaFit,
  covariates: ArrayLike<number>,
  { p, level = 0.9 }: { readonly p: number; readonly level?: number },
): Estimate {
  if (!(level > 0 && level < 1)) throw new RangeError(`level is ${level}; expected between 0 and 1`);
  const row = designRow(fit, covariates);
  const z = generalisedGammaStandardQuantile(p, fit.q);
  const age = Math.exp(predictorOf(fit, row) + fit.scale * z);
  if (!fit.covariance) return { estimate: age, standardError: null, lower: null, upper: null };
  const slope =
    (generalisedGammaStandardQuantile(p, fit.q + Q_STEP) - generalisedGammaStandardQuantile(p, fit.q - Q_STEP)) /
    (2 * Q_STEP);
  const gradient = [...row, fit.scale * z, fit.scale * slope];
  let variance = 0;
  gradient.forEach((a, j) => {
    gradient.forEach((b, k) => {
      variance += a * b * (fit.covariance?.[j * gradient.length + k] ?? 0);
    });
  });
  const logError = Math.sqrt(Math.max(0, variance));
  const reach = Math.exp(normalQuantile((1 + level) / 2, 0, 1) * logError);
  return { estimate: age, standardError: age * logError, lower: age / reach, upper: age * reach };
}

function designRow({ names }: GeneralisedGammaFit, covariates: ArrayLike<number>): number[] {
  const row = names[0] === '(Intercept)' ? [1, ...Array.from(covariates)] : Array.from(covariates);
  if (row.length !== names.length)
    throw new RangeError(`${covariates.length} covariates given; expected the fit's: ${names.join(', ')}`);
  return row;
}
