import { describe, expect, test } from 'vitest';
import {
  capitalRecoveryFactor,
  discountFactor,
  equivalentAnnualCost,
  netPresentValue,
  nominalFactor,
} from '../../../../analytics/forecast/life-cycle.ts';

describe('life-cycle cost, FHWA-SA-98-079 (values from memory, recomputed)', () => {
  test.each([
    [0.04, [5, 10, 15, 20, 25, 30, 35, 40], '0.8219 0.6756 0.5553 0.4564 0.3751 0.3083 0.2534 0.2083'],
    [0.03, [10, 20, 30], '0.7441 0.5537 0.4120'],
    [0.07, [10, 20, 30], '0.5083 0.2584 0.1314'],
  ])('discount factors at rate %s', (rate, years, printed) => {
    expect(years.map((n) => discountFactor(rate, n).toFixed(4)).join(' ')).toBe(printed);
  });

  test('recovery factors at 4 % for 5, 10, 15, 20, 30 and 35 years', () => {
    const printed = [5, 10, 15, 20, 30, 35].map((n) => capitalRecoveryFactor(0.04, n).toFixed(5));
    expect(printed).toEqual(['0.22463', '0.12329', '0.08994', '0.07358', '0.05783', '0.05358']);
    expect(capitalRecoveryFactor(0, 8)).toBe(1 / 8);
    expect(() => capitalRecoveryFactor(0.04, 0)).toThrow(/years is 0/);
  });

  test('the worked example: 4 %, 35 years, agency and user cost in thousands, salvage at the end', () => {
    const flows = [
      { year: 0, amount: 1100 + 300 },
      { year: 15, amount: 330 + 269 },
      { year: 30, amount: 330 + 361 },
      { year: 35, amount: -220 - 241 },
    ];
    expect(netPresentValue(flows, 0.04)).toBeCloseTo(1828.83, 2);
    expect(equivalentAnnualCost(flows, 0.04, 35)).toBeCloseTo(97.98, 2);
  });

  test('real and nominal agree: nominal sums at the nominal rate are worth constant sums at the real one', () => {
    // OMB Circular A-94: (1 + nominal) = (1 + real) (1 + rise of prices).
    const terms = { planningYear: 2026, priceYear: 2026, escalationPerYear: 0.025 };
    const constant = [0, 7, 20].map((year) => ({ year, amount: 1000 }));
    const nominal = constant.map(({ year, amount }) => ({ year, amount: amount * nominalFactor(terms, year) }));
    expect(nominal[1].amount).toBeCloseTo(1188.69, 2);
    expect(netPresentValue(nominal, 1.03 * 1.025 - 1)).toBeCloseTo(netPresentValue(constant, 0.03), 9);
    expect(nominalFactor({ ...terms, priceYear: 2024 }, 0)).toBeCloseTo(1.050625, 12);
  });

  test('which of three reseals is cheapest turns with the rate', () => {
    // Invented unit costs: 2 for 5 years, 4 for 10, 6 for 18.
    const yearly = (rate: number) =>
      [
        [2, 5],
        [4, 10],
        [6, 18],
      ].map(([cost, life]) => (cost * capitalRecoveryFactor(rate, life)).toFixed(4));
    expect(yearly(0.04)).toEqual(['0.4493', '0.4932', '0.4740']);
    expect(yearly(0.03)).toEqual(['0.4367', '0.4689', '0.4363']);
    expect(yearly(0.07)).toEqual(['0.4878', '0.5695', '0.5965']);
  });
});
