import { describe, expect, test } from 'vitest';
import type { Budget } from '../../../../server/schemas/budget.ts';
import { amountOf, roundMoney, scaledMedian, scaledRange, scaleFor } from '../../../../web/state/budget-scale.ts';
import { budgetBlocks, inPriceYearMoney } from '../../../../web/state/budget-table.ts';

const about = (median: number) => ({ median, lower: median * 0.8, upper: median * 1.3 });
const amount = (year: number, lengthM: number) => ({ year, lengthM: about(lengthM), cost: about(lengthM * 10) });

/** Two districts, two classes, two years; the west has no polysulfide in 2031. */
const budget: Budget = {
  modelVersion: 3,
  currency: 'USD',
  priceYear: 2030,
  escalationPerYear: 0.03,
  discountRatePerYear: 0.04,
  years: [2030, 2031],
  rows: [
    { district: 'West', sealantClass: 'polysulfide', ...amount(2030, 100) },
    { district: 'East', sealantClass: 'polysulfide', ...amount(2030, 200) },
    { district: 'East', sealantClass: 'polysulfide', ...amount(2031, 210) },
    { district: 'East', sealantClass: 'silicone-non-sag', ...amount(2030, 300) },
    { district: 'East', sealantClass: 'silicone-non-sag', ...amount(2031, 310) },
  ],
  totals: [amount(2030, 590), amount(2031, 500)],
  districtTotals: [
    { district: 'West', ...amount(2030, 100) },
    { district: 'East', ...amount(2030, 480) },
    { district: 'East', ...amount(2031, 505) },
  ],
  classTotals: [
    { sealantClass: 'silicone-non-sag', ...amount(2030, 300) },
    { sealantClass: 'silicone-non-sag', ...amount(2031, 310) },
    { sealantClass: 'polysulfide', ...amount(2030, 290) },
    { sealantClass: 'polysulfide', ...amount(2031, 210) },
  ],
  overall: { lengthM: about(1090), cost: about(10_900), presentValue: about(10_700) },
  assumptions: [],
  unpricedLengthM: 0,
};

describe('the budget table', () => {
  test('totals alone are one block of one column', () => {
    const [block, ...others] = budgetBlocks(budget, 'total');
    expect(others).toEqual([]);
    expect(block.columns).toHaveLength(1);
    expect(block.columns[0].amounts.map((a) => a?.lengthM.median)).toEqual([590, 500]);
  });

  test('by district: one column each in alphabetical order, then the total as the server gave it', () => {
    const [block] = budgetBlocks(budget, 'district');
    expect(block.columns.map(({ key }) => key)).toEqual(['East', 'West', 'total']);
    // 590 is not 480 + 100: medians do not add up, so the total must be the server's own.
    expect(block.columns[2].amounts[0]?.lengthM.median).toBe(590);
  });

  test('a year in which a group has nothing is empty, not 0', () => {
    const [block] = budgetBlocks(budget, 'district');
    expect(block.columns[1].amounts.map((a) => a?.year ?? null)).toEqual([2030, null]);
  });

  test('by both: a block for each district with its own total, and one for the network', () => {
    const blocks = budgetBlocks(budget, 'both');
    expect(blocks.map(({ district }) => district)).toEqual(['East', 'West', null]);
    for (const block of blocks) {
      expect(block.columns.map(({ key }) => key)).toEqual(['polysulfide', 'silicone-non-sag', 'total']);
    }
    expect(blocks[1].columns[1].amounts).toEqual([null, null]);
    expect(blocks[1].columns[2].amounts[0]?.lengthM.median).toBe(100);
  });

  test('money of a later year is worth less in money of the price year: 1.03^-2 of 1060.90 is 1000', () => {
    // By hand: 1000 x 1.03^2 = 1060.90.
    const { median, lower, upper } = inPriceYearMoney({ median: 1060.9, lower: 0, upper: 2121.8 }, 2032, budget);
    expect(median).toBeCloseTo(1000, 9);
    expect(lower).toBe(0);
    expect(upper).toBeCloseTo(2000, 9);
  });
});

describe('the unit of a table', () => {
  test('lengths grow into km or miles, money into thousands', () => {
    const of = (measure: 'cost' | 'lengthM', largest: number, units: 'si' | 'us') =>
      scaleFor({ measure, largest, units, currency: 'USD' }).unit;
    expect(of('lengthM', 9_999, 'si')).toBe('m');
    expect(of('lengthM', 10_000, 'si')).toBe('km');
    expect(of('lengthM', 500, 'us')).toBe('ft');
    expect(of('cost', 99_999, 'si')).toBe('USD');
    expect(of('cost', 2_000_000, 'si')).toBe('thousand USD');
  });

  test('16093.44 m is shown as 10.0 mi', () => {
    // The international mile is 1609.344 m exactly.
    const scale = scaleFor({ measure: 'lengthM', largest: 20_000, units: 'us', currency: 'USD' });
    expect(scaledMedian({ median: 16_093.44, lower: 0, upper: 0 }, scale)).toBe('10.0');
    expect(scaledMedian(null, scale)).toBe('–');
    expect(scaledRange({ median: 1, lower: 1609.344, upper: 3218.688 }, scale)).toBe('1.0 to 2.0');
  });

  test('price-year money changes costs and leaves lengths alone', () => {
    const [{ columns }] = budgetBlocks(budget, 'total');
    const amount = columns[0].amounts[1];
    if (!amount) throw new Error('2031 has an amount');
    // 5000 / 1.03 = 4854.37 by hand.
    expect(amountOf(amount, { measure: 'cost', moneyOf: 'price-year' }, budget).median).toBeCloseTo(4854.37, 2);
    expect(amountOf(amount, { measure: 'cost', moneyOf: 'each-year' }, budget).median).toBe(5000);
    expect(amountOf(amount, { measure: 'lengthM', moneyOf: 'price-year' }, budget).median).toBe(500);
  });

  test('a total has three digits, not eight', () => {
    expect(roundMoney(63_540_686, 'USD')).toBe('$63.5\u00a0million');
    expect(roundMoney(912_345, 'USD')).toBe('$912,000');
    expect(roundMoney(0, 'USD')).toBe('$0');
  });
});
