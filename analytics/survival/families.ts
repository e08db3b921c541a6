import erfcx from '@stdlib/math-base-special-erfcx';
import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import type { Family } from './aft.ts';

/** The standard distributions W of log T = mu + sigma W, written for z = (log t - mu) / sigma. */

const HALF_LOG_2PI = 0.5 * Math.log(2 * Math.PI);
const SQRT_2_OVER_PI = Math.sqrt(2 / Math.PI);

/** log(1 - exp(-x)) for x > 0. Source: Maechler, Accurately computing log(1 - exp(-|a|)) (2012). */
export const log1mexp = (x: number): number => (x < Math.LN2 ? Math.log(-Math.expm1(-x)) : Math.log1p(-Math.exp(-x)));

/** log(1 + exp(x)) without overflow. */
export const softplus = (x: number): number => Math.max(x, 0) + Math.log1p(Math.exp(-Math.abs(x)));

/** 1 / (1 + exp(-x)). */
export const logistic = (x: number): number => {
  const small = Math.exp(-Math.abs(x));
  return (x >= 0 ? 1 : small) / (1 + small);
};

/** -log of the standard normal's upper tail at z; keeps its digits in both tails through the scaled erfc. */
export function normalCumulativeHazard(z: number): number {
  const scaled = 0.5 * erfcx(Math.abs(z) * Math.SQRT1_2);
  const half = 0.5 * z * z;
  return z > 0 ? half - Math.log(scaled) : -Math.log1p(-scaled * Math.exp(-half));
}

/** Density over upper tail of the standard normal at z (the inverse Mills ratio). */
export function normalHazard(z: number): number {
  const scaled = erfcx(Math.abs(z) * Math.SQRT1_2);
  if (z > 0) return SQRT_2_OVER_PI / scaled;
  const density = Math.exp(-0.5 * z * z);
  return (density * 0.5 * SQRT_2_OVER_PI) / (1 - 0.5 * scaled * density);
}

export const normalLogDensity = (z: number): number => -0.5 * z * z - HALF_LOG_2PI;

/** Cumulative hazard at z, 0 or more; rises from 0 at -Infinity. */
export function standardCumulativeHazard(family: Family, z: number): number {
  if (z === -Infinity) return 0;
  switch (family) {
    case 'lognormal':
      return normalCumulativeHazard(z);
    case 'loglogistic':
      return softplus(z);
    default:
      return Math.exp(z);
  }
}

/** Slope of the cumulative hazard in z, above 0. */
export function standardHazard(family: Family, z: number): number {
  if (z === -Infinity) return 0;
  switch (family) {
    case 'lognormal':
      return normalHazard(z);
    case 'loglogistic':
      return logistic(z);
    default:
      return Math.exp(z);
  }
}

/**
 * The z below which a share p of lives ends: log T's quantile is mu + sigma times it.
 * @throws RangeError where p is not between 0 and 1, both left out
 */
export function standardQuantile(family: Family, p: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`p is ${p}; expected above 0 and below 1`);
  switch (family) {
    case 'lognormal':
      return normalQuantile(p, 0, 1);
    case 'loglogistic':
      return Math.log(p) - Math.log1p(-p);
    default:
      return Math.log(-Math.log1p(-p));
  }
}

/** Cumulative hazard at a time given by its natural logarithm (-Infinity for time 0). */
export const cumulativeHazardAt = (family: Family, logTime: number, mu: number, sigma: number): number =>
  standardCumulativeHazard(family, (logTime - mu) / sigma);

/** Chance, 0 to 1, of lasting beyond a time given by its natural logarithm (-Infinity for time 0). */
export const survivalAt = (family: Family, logTime: number, mu: number, sigma: number): number =>
  Math.exp(-cumulativeHazardAt(family, logTime, mu, sigma));
