import type { Family } from '../survival/aft.ts';
import type { Interval } from './draw-table.ts';
import { standardSurvival } from './standard-life.ts';

/** Equally likely life distributions, log T = eta + sigma W: one entry for each. Years. */
export interface LifeMixture {
  readonly family: Family;
  readonly eta: Float64Array;
  readonly sigma: Float64Array;
}

/** Chance of lasting beyond an age above 0. */
export function mixtureSurvival({ family, eta, sigma }: LifeMixture, ageYears: number): number {
  const y = Math.log(ageYears);
  let sum = 0;
  for (let d = 0; d < eta.length; d++) sum += standardSurvival(family, (y - eta[d]) / sigma[d]);
  return sum / eta.length;
}

/** Age by which a share, above 0 and below 1, has failed: bisection in log age, to a part in a million. */
export function mixtureQuantile(mixture: LifeMixture, failedShare: number): number {
  const target = 1 - failedShare;
  let [low, high] = [-1, 1];
  while (mixtureSurvival(mixture, Math.exp(low)) < target) low *= 2;
  while (mixtureSurvival(mixture, Math.exp(high)) > target) high *= 2;
  while (high - low > 1e-6) {
    const middle = (low + high) / 2;
    if (mixtureSurvival(mixture, Math.exp(middle)) > target) low = middle;
    else high = middle;
  }
  return Math.exp((low + high) / 2);
}

/** Life of one seal: the median, and where 80 % of lives lie. */
export const mixtureInterval = (mixture: LifeMixture): Interval => ({
  median: mixtureQuantile(mixture, 0.5),
  lower: mixtureQuantile(mixture, 0.1),
  upper: mixtureQuantile(mixture, 0.9),
});

/** Mean and variance of W: smallest extreme value (Euler's constant, pi²/6), normal, logistic (pi²/3). */
const MOMENTS: Readonly<Record<Family, readonly [mean: number, variance: number]>> = {
  weibull: [-0.5772156649015329, Math.PI ** 2 / 6],
  exponential: [-0.5772156649015329, Math.PI ** 2 / 6],
  lognormal: [0, 1],
  loglogistic: [0, Math.PI ** 2 / 3],
};

/** Variance of log T: the mean of the variances and the variance of the means. */
export function mixtureLogVariance({ family, eta, sigma }: LifeMixture): number {
  const [mean, variance] = MOMENTS[family];
  let [within, sum, squares] = [0, 0, 0];
  for (let d = 0; d < eta.length; d++) {
    const centre = eta[d] + sigma[d] * mean;
    within += (sigma[d] * sigma[d] * variance) / eta.length;
    sum += centre / eta.length;
    squares += (centre * centre) / eta.length;
  }
  return within + Math.max(0, squares - sum * sum);
}

/**
 * Variance of log T from survival at increasing ages above 0: each cell's mass lies in its middle, what outlasts the last
 * age at that age.
 */
export function curveLogVariance(agesYears: Float64Array, survival: Float64Array): number {
  let [total, sum, squares] = [0, 0, 0];
  const add = (mass: number, y: number) => {
    total += mass;
    sum += mass * y;
    squares += mass * y * y;
  };
  for (let j = 1; j < agesYears.length; j++)
    add(Math.max(0, survival[j - 1] - survival[j]), 0.5 * (Math.log(agesYears[j - 1]) + Math.log(agesYears[j])));
  add(survival[survival.length - 1], Math.log(agesYears[agesYears.length - 1]));
  return total > 0 ? Math.max(0, squares / total - (sum / total) ** 2) : 0;
}
