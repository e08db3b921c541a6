import { expect, test } from 'vitest';
import { PriceList } from '../../../../server/forecasting/price-list.ts';
import type { UnitCost } from '../../../../server/schemas/unit-cost.ts';

const price = (
  sealantClass: UnitCost['sealantClass'],
  jointType: UnitCost['jointType'],
  costPerM: number,
  pricedOn: string | null = null,
): UnitCost => ({ sealantClass, jointType, costPerM, pricedOn, priceSource: null });

test('a price for the joint type itself wins over one for any, whichever comes first', () => {
  const costs = [price('polysulfide', 'longitudinal', 4), price('polysulfide', 'any', 9)];
  for (const prices of [new PriceList(costs), new PriceList(costs.toReversed())]) {
    expect(prices.costPerM('polysulfide', 'longitudinal')).toBe(4);
    expect(prices.costPerM('polysulfide', 'isolation')).toBe(9);
  }
});

test('no price is not a price of 0', () => {
  const prices = new PriceList([price('polysulfide', 'longitudinal', 4)]);
  expect(prices.costPerM('polysulfide', 'isolation')).toBeNaN();
  expect(prices.costPerM('unknown', 'longitudinal')).toBeNaN();
});

test('prices are money of the newest pricing day; undated ones say nothing', () => {
  const dated = [price('polysulfide', 'any', 4, '2023-12-31'), price('unknown', 'any', 4, '2025-01-01')];
  expect(new PriceList([...dated, price('hot-applied', 'any', 2)]).priceYear).toBe(2025);
  expect(new PriceList([price('hot-applied', 'any', 2)]).priceYear).toBeNull();
  expect(new PriceList([]).priceYear).toBeNull();
});
