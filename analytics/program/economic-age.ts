import { resealCycle, SMALLEST_RATE } from '../forecast/reseal-cycle.ts';
import { type WholeYearReplacement, wholeYearReplacement } from '../forecast/whole-year-replacement.ts';
import { failedByAge } from './after-horizon.ts';
import type { ProgramTypes } from './program-problem.ts';

/** When a class is best resealed again on segments of one economic type, and what it costs a year in the long run. */
export interface EconomicAge {
  readonly sealantClass: number;
  /** Resealed at a fixed age, failed or not, as in a program: whole years, null: never again; and its cost per m a year. */
  readonly planned: { readonly years: number | null; readonly costPerMYear: number };
  /** Resealed in the year it fails, at the price and a year open, else at a fixed age. */
  readonly attended: WholeYearReplacement;
}

/** One entry for each class that is allowed on the type. Costs are paid at year ends. */
export function economicAges(types: ProgramTypes, type: number, discountRatePerYear: number): EconomicAge[] {
  const open = types.openCostPerMYear[type];
  return Array.from({ length: types.classes }, (_, sealantClass) => sealantClass).flatMap((sealantClass) => {
    const at = type * types.classes + sealantClass;
    const [curve, price] = [types.curve[at], types.pricePerM[at]];
    if (curve < 0) return [];
    const costs = { pricePerM: price, openCostPerMYear: open, ratePerYear: discountRatePerYear };
    const { years, costPerM } = resealCycle(types, curve, costs);
    const costPerMYear = costPerM * Math.max(discountRatePerYear, SMALLEST_RATE);
    const sound = (age: number) => 1 - failedByAge(types, curve, age);
    const replaced = { planned: price, failure: price + open };
    const attended = wholeYearReplacement(sound, types.oldestAge, replaced, discountRatePerYear);
    return [{ sealantClass, planned: { years, costPerMYear }, attended }];
  });
}
