import { curveOffsets } from '../forecast/new-life-draws.ts';
import { type AfterHorizon, costsAfterHorizon, type SealCurves, type TypeEconomy } from './after-horizon.ts';
import type { ProgramInput } from './program-input.ts';
import type { ProgramTypes } from './program-problem.ts';

export interface EconomicTypes {
  /** Type of each segment. */ readonly type: Int32Array;
  readonly types: ProgramTypes;
  /** What follows the horizon, one for each type. */ readonly after: readonly AfterHorizon[];
}

type TypesInput = Pick<
  ProgramInput,
  'count' | 'years' | 'newLives' | 'pricePerM' | 'openCostPerMYear' | 'discountRatePerYear'
>;

/**
 * Segments with the same curves and prices of the allowed classes and the same cost of an open joint are one type; types
 * are numbered as they are first met.
 */
export function economicTypes(input: TypesInput): EconomicTypes {
  const { count, years, newLives, discountRatePerYear } = input;
  const curves = joinCurves(newLives);
  const offsets = curveOffsets(newLives);
  const known = new Map<string, number>();
  const economies: TypeEconomy[] = [];
  const type = new Int32Array(count);
  for (let i = 0; i < count; i++) {
    const economy = economyOf(input, offsets, i);
    const key = `${economy.curve}/${economy.pricePerM}/${economy.openCostPerMYear}`;
    let index = known.get(key);
    if (index === undefined) {
      index = economies.push({ ...economy, ratePerYear: discountRatePerYear }) - 1;
      known.set(key, index);
    }
    type[i] = index;
  }
  const after = economies.map((economy) => costsAfterHorizon(curves, economy, years));
  return { type, types: typesTable(curves, economies, after, newLives.length), after };
}

function economyOf({ newLives, pricePerM, openCostPerMYear }: TypesInput, offsets: readonly number[], i: number) {
  const classes = newLives.length;
  const curve: number[] = [];
  const prices: number[] = [];
  for (let c = 0; c < classes; c++) {
    const price = pricePerM[i * classes + c];
    curve.push(Number.isNaN(price) ? -1 : offsets[c] + newLives[c].curve[i]);
    prices.push(Number.isNaN(price) ? 0 : price);
  }
  return { curve, pricePerM: prices, openCostPerMYear: openCostPerMYear[i] };
}

function joinCurves(groups: ProgramInput['newLives']): SealCurves {
  const { oldestAge } = groups[0];
  const failedByAge = new Float64Array(groups.reduce((sum, group) => sum + group.failedByAge.length, 0));
  let at = 0;
  for (const group of groups) {
    failedByAge.set(group.failedByAge, at);
    at += group.failedByAge.length;
  }
  return { failedByAge, oldestAge };
}

const typesTable = (
  curves: SealCurves,
  economies: readonly TypeEconomy[],
  after: readonly AfterHorizon[],
  classes: number,
): ProgramTypes => ({
  ...curves,
  count: economies.length,
  classes,
  curve: Int32Array.from(economies.flatMap(({ curve }) => Array.from(curve))),
  pricePerM: Float64Array.from(economies.flatMap(({ pricePerM }) => Array.from(pricePerM))),
  openCostPerMYear: Float64Array.from(economies, ({ openCostPerMYear }) => openCostPerMYear),
  finalCostPerM: Float64Array.from(after.flatMap(({ costPerM }) => Array.from(costPerM))),
});
