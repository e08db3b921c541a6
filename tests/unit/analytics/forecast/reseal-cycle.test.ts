import { describe, expect, test } from 'vitest';
import { resealCycle } from '../../../../analytics/forecast/reseal-cycle.ts';
import { wholeYearReplacement } from '../../../../analytics/forecast/whole-year-replacement.ts';

const weibull = (shape: number, scale: number) => (age: number) => Math.exp(-((age / scale) ** shape));
const within = (found: number | null, expected: number, relative: number) =>
  expect(Math.abs((found ?? Number.NaN) / expected - 1)).toBeLessThan(relative);

/** A curve in steps of a part of a year. */
const inSteps = (survival: (age: number) => number, perYear: number, years: number) => ({
  failedByAge: Float64Array.from({ length: years * perYear + 1 }, (_, k) => 1 - survival(k / perYear)),
  oldestAge: years * perYear,
});

describe('resealing after a fixed time, failed or not', () => {
  // Optimum of (price + open x integral of F) / T: open (T F(T) - integral of F) = price, where the cost is open F(T).
  // Barlow and Proschan (1965), Nakagawa (2005); equation from memory, solved here by bisection with quadrature.
  const best = (survival: (age: number) => number, priceOverOpen: number) => {
    const failed = (age: number) => 1 - survival(age);
    const excess = (age: number) => {
      const n = 2000;
      let integral = 0;
      for (let k = 0; k < n; k++) integral += failed(((k + 0.5) * age) / n) * (age / n);
      return age * failed(age) - integral - priceOverOpen;
    };
    let [low, high] = [0, 100];
    while (high - low > 1e-9)
      [low, high] = excess((low + high) / 2) < 0 ? [(low + high) / 2, high] : [low, (low + high) / 2];
    return { age: low, costOverOpen: failed(low) };
  };

  test('exponential lives: 1 - (1 + T) exp(-T) = price over open cost', () => {
    const { age } = best((t) => Math.exp(-t), 0.2);
    expect(1 - (1 + age) * Math.exp(-age)).toBeCloseTo(0.2, 6);
  });

  test.each([
    ['exponential, mean 1', (t: number) => Math.exp(-t), 0.2, 3],
    ['Weibull(3, 18)', weibull(3, 18), 1.5, 40],
    ['Weibull(2.5, 10)', weibull(2.5, 10), 3, 30],
  ])('%s: in fine steps the published optimum', (_, survival, price, years) => {
    const perYear = years < 10 ? 1000 : 50;
    const expected = best(survival, price);
    const costs = { pricePerM: price, openCostPerMYear: 1 / perYear, ratePerYear: 0 };
    const cycle = resealCycle(inSteps(survival, perYear, years), 0, costs);
    within((cycle.years ?? Number.NaN) / perYear, expected.age, 0.005);
    within(cycle.costPerM * 1e-6 * perYear, expected.costOverOpen, 0.005);
  });

  test('in whole years it lies within a year of it', () => {
    const expected = best(weibull(3, 18), 1.5).age;
    const costs = { pricePerM: 1.5, openCostPerMYear: 1, ratePerYear: 0 };
    const cycle = resealCycle(inSteps(weibull(3, 18), 1, 60), 0, costs);
    expect(Math.abs((cycle.years ?? Number.NaN) - expected)).toBeLessThanOrEqual(1);
  });

  test('an open joint that costs nothing is never resealed again, and costs one price', () => {
    const costs = { pricePerM: 7, openCostPerMYear: 0, ratePerYear: 0.04 };
    expect(resealCycle(inSteps(weibull(3, 18), 1, 60), 0, costs)).toEqual({ years: null, costPerM: 7 });
  });
});

describe('age replacement in whole years', () => {
  // Independent solutions of the stationarity equation to ten digits; scales large enough that a year is a fine step.
  test.each([
    [1000, 2.5, 1, 5, 493.0469576, 0.00346204273879],
    [10_000, 6, 30, 5000, 3263.162625, 0.01103319336],
    [15_000, 3, 25, 1500, 3059.266224, 0.0122708328875],
    [30_000, 3, 70, 800, 10_920.36372, 0.0096728523275],
  ])('Weibull scale %s, shape %s, planned %s, failure %s', (scale, shape, planned, failure, age, cost) => {
    const found = wholeYearReplacement(weibull(shape, scale), Math.ceil(2 * age), { planned, failure });
    within(found.years, age, 0.003);
    within(found.costPerYear, cost, 0.001);
  });

  test('Weibull(3, 18), planned 1, failure 4: the whole year next to 9.97', () => {
    const found = wholeYearReplacement(weibull(3, 18), 60, { planned: 1, failure: 4 });
    expect(Math.abs((found.years ?? Number.NaN) - 9.974757898606)).toBeLessThanOrEqual(1);
  });

  test.each([
    [0.01, 10.10085697787, 0.147449555073],
    [0.03, 10.36111301571, 0.1356676896981],
    [0.05, 10.63219904127, 0.124450087119],
  ])('discounted at %s a year in fine steps', (rate, age, cost) => {
    const perYear = 200;
    const survival = weibull(3, 18 * perYear);
    const found = wholeYearReplacement(survival, 30 * perYear, { planned: 1, failure: 4 }, Math.expm1(rate / perYear));
    within((found.years ?? Number.NaN) / perYear, age, 0.003);
    within(found.costPerYear * perYear, cost, 0.001);
  });

  test('constant hazard: only after failure', () => {
    expect(wholeYearReplacement(weibull(1, 10), 60, { planned: 1, failure: 3 }).years).toBeNull();
    expect(() => wholeYearReplacement(weibull(1, 10), 60, { planned: 3, failure: 1 })).toThrow(
      /planned is 3, failure 1/,
    );
  });
});
