import gammainc from '@stdlib/math-base-special-gammainc';
import type { Family } from '../survival/aft.ts';
import { standardHazard } from './standard-life.ts';

/** One life distribution, log T = eta + sigma W, and the age that a seal is known to have reached. Years. */
export interface ResidualLifeInput {
  readonly family: Family;
  readonly eta: number;
  readonly sigma: number;
  readonly ageYears: number;
}

const hazardAt = ({ family, eta, sigma }: ResidualLifeInput, age: number): number =>
  standardHazard(family, (Math.log(age) - eta) / sigma);

/** Chance of failing within some years of an age that was reached: -expm1 of the difference of cumulative hazards. */
export const failureWithin = (life: ResidualLifeInput, years: number): number =>
  -Math.expm1(hazardAt(life, life.ageYears) - hazardAt(life, life.ageYears + years));

/** Years that half of the seals which reached the age have still to go. Defined for every family, unlike the mean. */
export function medianResidualYears(life: ResidualLifeInput): number {
  const target = hazardAt(life, life.ageYears) + Math.LN2;
  return Math.exp(life.eta + life.sigma * standardQuantileOfHazard(life.family, target)) - life.ageYears;
}

/** z at which the cumulative hazard reaches a value, by bisection where there is no closed form. */
function standardQuantileOfHazard(family: Family, hazard: number): number {
  switch (family) {
    case 'weibull':
    case 'exponential':
      return Math.log(hazard);
    case 'loglogistic':
      return Math.log(Math.expm1(hazard));
    case 'lognormal': {
      let [low, high] = [-40, 40];
      while (high - low > 1e-13) {
        const middle = (low + high) / 2;
        if (middle === low || middle === high) break;
        if (standardHazard(family, middle) < hazard) low = middle;
        else high = middle;
      }
      return (low + high) / 2;
    }
    default:
      return family satisfies never;
  }
}

/**
 * Mean years still to go after an age that was reached. Weibull: scale exp(H) Gamma(1 + 1/k, H) - age, H the cumulative
 * hazard. Log-normal: exp(mu + sigma²/2) Phi(sigma - z) / Phi(-z) - age.
 * @returns null for the log-logistic with sigma 1 or more, whose mean is infinite, and its other cases (use the median)
 */
export function meanResidualYears(life: ResidualLifeInput): number | null {
  const { family, eta, sigma, ageYears } = life;
  const z = (Math.log(ageYears) - eta) / sigma;
  switch (family) {
    case 'weibull':
    case 'exponential': {
      const hazard = Math.exp(z);
      return Math.exp(eta + hazard) * gammainc(hazard, 1 + sigma, false, true) - ageYears;
    }
    case 'lognormal':
      return (
        Math.exp(eta + (sigma * sigma) / 2 + standardHazard(family, z) - standardHazard(family, z - sigma)) - ageYears
      );
    case 'loglogistic':
      return null;
    default:
      return family satisfies never;
  }
}
