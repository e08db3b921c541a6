import type { NewLives } from './new-lives.ts';

/** What a reseal and a failed joint cost, per metre, in constant money. */
export interface ResealCosts {
  /** Price of resealing, above 0. */ readonly pricePerM: number;
  /** Cost of a year failed and open, 0 or more. */ readonly openCostPerMYear: number;
  /** Real rate a year, 0 or more. */ readonly ratePerYear: number;
}

export interface ResealCycle {
  /** Whole years between reseals; null: never again. */ readonly years: number | null;
  /** Cost per metre of a reseal now and of all that follows it, valued now. */ readonly costPerM: number;
}

/** At a rate of 0 a chain of reseals costs without end; what matters is its cost a year, which this keeps. */
export const SMALLEST_RATE = 1e-6;

/**
 * The whole number of years after which a seal on its curve is best resealed, again and again, whether it has failed or
 * not: the least over n of (price + sum over k < n of open F(k) v^k) / (1 - v^n). What outlives the curve is taken as failed
 * after it.
 *
 * Without discounting and with ever finer steps the best age T solves open (T F(T) - integral of F) = price, and the cost a
 * year is open F(T): replacement at fixed times, none at failure (Barlow and Proschan, Mathematical Theory of Reliability,
 * 1965, chapter 4; Nakagawa, Maintenance Theory of Reliability, 2005).
 */
export function resealCycle(
  { failedByAge, oldestAge }: Pick<NewLives, 'failedByAge' | 'oldestAge'>,
  curve: number,
  costs: ResealCosts,
): ResealCycle {
  const { pricePerM, openCostPerMYear: open } = costs;
  const v = 1 / (1 + Math.max(costs.ratePerYear, SMALLEST_RATE));
  let best: ResealCycle = { years: null, costPerM: Number.POSITIVE_INFINITY };
  let [waited, discount] = [0, 1];
  for (let n = 1; n <= oldestAge; n++) {
    discount *= v;
    const costPerM = (pricePerM + waited) / (1 - discount);
    if (costPerM < best.costPerM) best = { years: n, costPerM };
    waited += open * failedByAge[curve * (oldestAge + 1) + n] * discount;
  }
  const never = pricePerM + waited + (open * discount * v) / (1 - v);
  return never < best.costPerM ? { years: null, costPerM: never } : best;
}
