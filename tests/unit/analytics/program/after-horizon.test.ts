import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  costsAfterHorizon,
  inPlaceFailedBy,
  longRun,
  waitingCostPerM,
} from '../../../../analytics/program/after-horizon.ts';
import { economicAges } from '../../../../analytics/program/economic-age.ts';

const OLDEST = 40;
const weibull = (shape: number, scale: number) =>
  Array.from({ length: OLDEST + 1 }, (_, age) => 1 - Math.exp(-((age / scale) ** shape)));
const curves = { failedByAge: Float64Array.from([...weibull(2.5, 9), ...weibull(3, 18)]), oldestAge: OLDEST };
const failed = (curve: number, age: number) => (age > OLDEST ? 1 : curves.failedByAge[curve * (OLDEST + 1) + age]);

const economies = fc.record({
  curve: fc.constantFrom([0, 1], [0, -1], [-1, 1], [-1, -1]),
  pricePerM: fc.tuple(fc.double({ min: 1, max: 20, noNaN: true }), fc.double({ min: 1, max: 20, noNaN: true })),
  openCostPerMYear: fc.double({ min: 0, max: 15, noNaN: true }),
  ratePerYear: fc.double({ min: 0.005, max: 0.12, noNaN: true }),
});
const close = (found: number, expected: number) =>
  expect(Math.abs(found - expected)).toBeLessThan(1e-9 * Math.max(1, Math.abs(expected)));

describe('what follows the horizon', () => {
  test('each year is either waited or resealed, whichever is cheaper (Bellman)', () => {
    fc.assert(
      fc.property(economies, (economy) => {
        const { costPerM, renewalCostPerM } = costsAfterHorizon(curves, economy, 20);
        const v = 1 / (1 + economy.ratePerYear);
        economy.curve.forEach((curve, c) => {
          for (let age = 0; age < 20 && curve >= 0; age++) {
            const at = c * 21 + age;
            const waited = v * (economy.openCostPerMYear * failed(curve, age + 1) + costPerM[at + 1]);
            close(costPerM[at], Math.min(v * renewalCostPerM, waited));
          }
        });
      }),
      { seed: 3, numRuns: 200 },
    );
  });

  test('renewing costs the price and what follows a new seal, with the class for which that is least', () => {
    fc.assert(
      fc.property(economies, (economy) => {
        const { costPerM } = costsAfterHorizon(curves, economy, 20);
        const { renewalCostPerM, cheapestClass } = longRun(curves, economy);
        const each = economy.curve.map((curve, c) =>
          curve < 0 ? Number.POSITIVE_INFINITY : economy.pricePerM[c] + costPerM[c * 21],
        );
        if (cheapestClass < 0) expect(renewalCostPerM).toBe(Number.POSITIVE_INFINITY);
        else {
          close(Math.min(...each), renewalCostPerM);
          close(each[cheapestClass], renewalCostPerM);
        }
      }),
      { seed: 4, numRuns: 200 },
    );
  });

  test('an older seal never costs less', () => {
    fc.assert(
      fc.property(economies, (economy) => {
        const { costPerM } = costsAfterHorizon(curves, economy, 20);
        for (let at = 1; at < costPerM.length; at++)
          if (at % 21 > 0) expect(costPerM[at]).toBeGreaterThanOrEqual(costPerM[at - 1] - 1e-9);
      }),
      { seed: 5, numRuns: 100 },
    );
  });

  test('without discounting the differences are those of a very low rate, and the best new seal costs nothing', () => {
    const economy = { curve: [0, 1], pricePerM: [4, 9], openCostPerMYear: 3 };
    const none = costsAfterHorizon(curves, { ...economy, ratePerYear: 0 }, 20).costPerM;
    const low = costsAfterHorizon(curves, { ...economy, ratePerYear: 1e-5 }, 20).costPerM;
    none.forEach((cost, at) => {
      expect(Math.abs(cost - none[0] - (low[at] - low[0]))).toBeLessThan(0.01);
    });
    expect(Math.min(...none)).toBe(0);
    expect(Math.max(...none)).toBeLessThan(20);
  });

  test('by hand: a failed joint open at 2 a year, renewing at 100, a rate of 5 %', () => {
    // One year costs 2; putting 100 off by a year saves 100 x 0.05 / 1.05 = 4.76. It stays open: 2 / 0.05 = 40.
    expect(waitingCostPerM(() => 1, 100, { openCostPerMYear: 2, ratePerYear: 0.05 })).toBeCloseTo(40, 9);
    // At 6 a year it is renewed in the first year after: 100 / 1.05.
    expect(waitingCostPerM(() => 1, 100, { openCostPerMYear: 6, ratePerYear: 0.05 })).toBeCloseTo(95.2381, 4);
  });
});

describe('the seal in place beyond what is known', () => {
  const inPlace = (known: number, ageYears: number) => ({
    failedByYearEnd: Float64Array.of(known / 2, known),
    yearEnds: 2,
    ageYears: Float64Array.of(ageYears),
    lives: { ...curves, curve: Int32Array.of(1), rows: new Float64Array() },
  });

  test('goes on along its curve: the chance of the whole curve where that is what is known', () => {
    // Two year ends, at ages 7 and 8 of a seal known to be new at age 0.
    const [known, expected] = [failed(1, 8), failed(1, 12)];
    expect(inPlaceFailedBy(inPlace(known, 7), 0, 1)).toBe(known);
    expect(inPlaceFailedBy(inPlace(known, 7), 0, 5)).toBeCloseTo(expected, 12);
  });

  test('keeps what is known: sound for certain at age 8, then 1 - S(12) / S(8)', () => {
    const expected = 1 - (1 - failed(1, 12)) / (1 - failed(1, 8));
    expect(inPlaceFailedBy(inPlace(0, 7), 0, 5)).toBeCloseTo(expected, 12);
    expect(inPlaceFailedBy(inPlace(1, 7), 0, 5)).toBe(1);
    expect(inPlaceFailedBy(inPlace(0.2, 7), 0, 60)).toBe(1);
  });
});

test('economic ages: dearer open joints bring both forward, and attending to failures puts the planned age off', () => {
  const types = (open: number) => ({
    ...curves,
    count: 1,
    classes: 2,
    curve: Int32Array.of(-1, 1),
    pricePerM: Float64Array.of(0, 4),
    openCostPerMYear: Float64Array.of(open),
    finalCostPerM: new Float64Array(),
  });
  const [low] = economicAges(types(2), 0, 0);
  const [high] = economicAges(types(12), 0, 0);
  expect(low.sealantClass).toBe(1);
  expect(high.planned.years).toBeLessThan(low.planned.years ?? 0);
  expect(high.attended.years).toBeLessThan(low.attended.years ?? Number.POSITIVE_INFINITY);
  // Weibull(3, 18), planned 1, failure 4, in units of 4: 9.97 years and 0.15354 a year in the continuous case.
  expect(high.attended.years).toBe(10);
  expect(Math.abs(high.attended.costPerYear / 4 - 0.1535428937281)).toBeLessThan(0.01);
});
