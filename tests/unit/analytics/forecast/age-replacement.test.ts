import { describe, expect, test } from 'vitest';
import {
  bestReplacementAge,
  type Life,
  replacementCostPerYear,
  serviceTime,
  weibullLife,
} from '../../../../analytics/forecast/age-replacement.ts';

const within = (found: number | null, expected: number, relative: number) =>
  expect(Math.abs((found ?? Number.NaN) / expected - 1)).toBeLessThan(relative);

describe('age replacement', () => {
  test('uniform lives have a closed form', () => {
    // Barlow and Proschan (1965): T = -k + sqrt(k² + 2k), k = c_p / (c_f - c_p).
    const uniform: Life = {
      survival: (t) => Math.max(0, 1 - t),
      hazard: (t) => 1 / Math.max(1e-12, 1 - t),
      typicalAge: 0.5,
      longestAge: 1,
    };
    const five = bestReplacementAge(uniform, { planned: 1, failure: 5 });
    within(five.age, 0.5, 1e-10);
    within(five.costPerYear, 8, 1e-10);
    const three = bestReplacementAge(uniform, { planned: 1, failure: 3 });
    within(three.age, 0.6180339887, 1e-9);
    within(three.costPerYear, 5.236067977, 1e-9);
  });

  test.each([
    [2.5, 1000, 1, 5, 493.0469576, 0.00346204273879],
    [6, 10_000, 30, 5000, 3263.162625, 0.01103319336],
    [2, 80_000, 700, 4000, 37_509.2603, 0.0386814246831],
    [2.5, 80_000, 800, 4500, 37_170.25616, 0.0366193049027],
    [3, 15_000, 25, 1500, 3059.266224, 0.0122708328875],
    [1.5, 30_000, 80, 250, 33_029.44465, 0.00891885152523],
    [3, 30_000, 70, 800, 10_920.36372, 0.0096728523275],
    [3, 18, 1, 4, 9.974757898606, 0.1535428937281],
  ])('Weibull shape %s, scale %s, planned %s, failure %s', (shape, scale, planned, failure, age, cost) => {
    // Independent solution of the stationarity equation to ten digits.
    const best = bestReplacementAge(weibullLife(shape, scale), { planned, failure });
    within(best.age, age, 1e-8);
    // Quadrature is least exact for a shape of 1.5, whose survival has no second derivative at age 0.
    within(best.costPerYear, cost, 2e-9);
  });

  test.each([
    [2, 1, 1, 2, 1.0908, 2.181594, 2.256758],
    [2, 10, 1, 5, 5.10655, 0.408524, 0.56419],
    [3, 10, 1, 5, 5.0261, 0.30314, 0.559923],
    [3, 12, 1, 3, 7.63857, 0.202597, 0.279962],
  ])(
    'the flat cost curve does not lead astray: shape %s, scale %s',
    (shape, scale, planned, failure, age, cost, run) => {
      const best = bestReplacementAge(weibullLife(shape, scale), { planned, failure });
      expect(best.age).toBeCloseTo(age, 4);
      expect(best.costPerYear).toBeCloseTo(cost, 6);
      expect(best.runToFailureCostPerYear).toBeCloseTo(run, 6);
    },
  );

  test('nearly constant hazard saves a hundredth of a per cent: not worth the trouble', () => {
    const best = bestReplacementAge(weibullLife(1.2, 10), { planned: 1, failure: 3 });
    within(best.age, 41.423, 1e-4);
    expect(best.costPerYear).toBeCloseTo(0.318904, 6);
    expect(best.runToFailureCostPerYear).toBeCloseTo(0.318926, 6);
    expect(best.savedShare).toBeLessThan(0.0002);
  });

  test('constant hazard: never reseal early', () => {
    expect(bestReplacementAge(weibullLife(1, 10), { planned: 1, failure: 3 }).age).toBeNull();
  });

  test.each([
    [0.01, 10.10085697787, 0.147449555073],
    [0.03, 10.36111301571, 0.1356676896981],
    [0.05, 10.63219904127, 0.124450087119],
  ])('discounted at %s a year, Weibull(3, 18), planned 1, failure 4', (rate, age, cost) => {
    const best = bestReplacementAge(weibullLife(3, 18), { planned: 1, failure: 4 }, rate);
    within(best.age, age, 1e-8);
    within(best.costPerYear, cost, 1e-9);
    within(3 * weibullLife(3, 18).hazard(age) - rate, cost, 1e-8);
  });

  test('the optimum is below its neighbours and service time is the mean life in the end', () => {
    const life = weibullLife(3, 18);
    const costs = { planned: 1, failure: 4 };
    const best = bestReplacementAge(life, costs);
    for (const age of [8, 12]) expect(replacementCostPerYear(life, costs, age)).toBeGreaterThan(best.costPerYear);
    // Mean of Weibull(3, 18): 18 gamma(4/3) = 16.0736312082.
    expect(serviceTime(life, 200)).toBeCloseTo(16.0736312082, 8);
  });

  test('costs in the wrong order are refused', () => {
    expect(() => bestReplacementAge(weibullLife(3, 18), { planned: 4, failure: 1 })).toThrow(/planned is 4/);
  });
});
