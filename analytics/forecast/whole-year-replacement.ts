import type { ReplacementCosts } from './age-replacement.ts';
import { wholeYearLives } from './renewal.ts';

export interface WholeYearReplacement {
  /** Whole years after which a seal that is still sound is resealed; null: only after failure. */
  readonly years: number | null;
  /** Cost a year, paid at year ends. */ readonly costPerYear: number;
}

/**
 * Age replacement in whole years: every seal that fails is resealed at the end of that year at the cost of a failure (with
 * a failed year: its price and the cost of a year open), every other one at the age that is cheapest in the long run.
 * With finer steps it becomes `bestReplacementAge`.
 * Source: Barlow and Proschan, Mathematical Theory of Reliability (1965), with discounting added.
 * `survivalAt`: by whole ages up to `oldestAge`; what lives on beyond it has its planned reseal there at the latest.
 * @throws RangeError unless 0 < planned <= failure
 */
export function wholeYearReplacement(
  survivalAt: (ageYears: number) => number,
  oldestAge: number,
  { planned, failure }: ReplacementCosts,
  ratePerYear = 0,
): WholeYearReplacement {
  if (!(planned > 0 && failure >= planned))
    throw new RangeError(`planned is ${planned}, failure ${failure}; expected 0 < planned <= failure`);
  const v = 1 / (1 + ratePerYear);
  const lives = wholeYearLives(survivalAt, oldestAge);
  let best: WholeYearReplacement = { years: null, costPerYear: Number.POSITIVE_INFINITY };
  let [failed, service, discount] = [0, 0, 1];
  for (let n = 1; n <= oldestAge; n++) {
    discount *= v;
    failed += lives[n] * discount;
    service += survivalAt(n - 1) * discount;
    const costPerYear = (failure * failed + planned * survivalAt(n) * discount) / service;
    if (costPerYear < best.costPerYear) best = { years: n, costPerYear };
  }
  return best.years === oldestAge ? { ...best, years: null } : best;
}
