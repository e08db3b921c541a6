import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type DueReason, dueReason, dueYears } from '../../../../analytics/forecast/due-year.ts';
import { newLives } from '../../../../analytics/forecast/new-lives.ts';
import { resealCycle } from '../../../../analytics/forecast/reseal-cycle.ts';
import type { PosteriorDraws } from '../../../../analytics/survival/aft.ts';

const draws: PosteriorDraws = {
  draws: 2,
  coefficients: Float64Array.of(Math.log(10), Math.log(14)),
  scale: Float64Array.of(0.4, 0.4),
  effectiveSampleSize: 2,
  paretoK: 0,
};
const lives = newLives(Float64Array.of(1), draws, 'weibull');
const survival = (t: number, scale: number) => Math.exp(-((t / scale) ** 2.5));

const one = (fields: { failed: readonly number[]; price?: number; open?: number; rate?: number }) =>
  dueYears({
    count: 1,
    failedByYearEnd: Float64Array.from(fields.failed),
    yearEnds: fields.failed.length,
    newLives: lives,
    resealCostPerM: Float64Array.of(fields.price ?? 8),
    openCostPerMYear: Float64Array.of(fields.open ?? 6),
    discountRatePerYear: fields.rate ?? 0.04,
  });

describe('life after resealing', () => {
  test('chance of having failed by each age is the mean over draws', () => {
    const expected = 1 - (survival(9, 10) + survival(9, 14)) / 2;
    expect(Math.abs(lives.failedByAge[9] - expected)).toBeLessThan(1e-6);
    expect(lives.failedByAge[0]).toBe(0);
  });

  test('like segments share a curve, unlike ones do not', () => {
    const { curve } = newLives(Float64Array.of(1, 1.0001, 0.8), draws, 'weibull');
    expect(curve[0]).toBe(curve[1]);
    expect(curve[2]).not.toBe(curve[0]);
  });
});

describe('the due year', () => {
  const curve = fc
    .array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 21, maxLength: 21 })
    .map((values) => [...values].sort((a, b) => a - b));

  test('is the one that the full sum of costs names', () => {
    fc.assert(
      fc.property(
        curve,
        fc.double({ min: 1, max: 60, noNaN: true }),
        fc.double({ min: 0.5, max: 30, noNaN: true }),
        fc.double({ min: 0.005, max: 0.15, noNaN: true }),
        (failed, price, open, rate) => {
          const offset = one({ failed, price, open, rate }).offset[0];
          const v = 1 / (1 + rate);
          // Later reseals, as the discounted chain of one cycle length after another: the best of 60 lengths.
          const chains = Array.from({ length: 60 }, (_, i) => {
            let [cost, waited] = [0, 0];
            for (let k = 1; k <= i; k++) waited += open * lives.failedByAge[k] * v ** k;
            for (let start = 0, factor = 1; start < 3000 && factor > 1e-12; start++, factor *= v ** (i + 1))
              cost += factor * (waited + price * v ** (i + 1));
            return cost;
          });
          const later = Math.min(...chains);
          const total = (until: number) =>
            failed.slice(0, until).reduce((sum, p, t) => sum + open * p * v ** t, 0) + (price + later) * v ** until;
          const costs = Array.from({ length: 22 }, (_, until) => total(until));
          const least = Math.min(...costs);
          // Year 21 stands for waiting past the horizon.
          expect(costs[offset < 0 ? 21 : offset]).toBeLessThan(least * (1 + 1e-6));
        },
      ),
      { seed: 8, numRuns: 200 },
    );
  });

  test('a failed joint is due at once where open joints are dear, never where they are nearly free', () => {
    const failed = Array(21).fill(1);
    expect(one({ failed }).offset[0]).toBe(0);
    const cheap = one({ failed, open: 0.1 });
    expect(cheap.offset[0]).toBe(-1);
    expect(cheap.triggerChance[0]).toBeGreaterThan(1);
    expect(one({ failed, open: 0 }).offset[0]).toBe(-1);
  });

  test('dearer open joints bring the year forward, dearer reseals put it off', () => {
    const failed = Array.from({ length: 21 }, (_, y) => 1 - survival(4 + y, 14) / survival(4, 14));
    const base = one({ failed }).offset[0];
    expect(one({ failed, open: 30 }).offset[0]).toBeLessThan(base);
    expect(one({ failed, price: 20 }).offset[0]).toBeGreaterThan(base);
  });

  test('at a rate of 0 it is the age of least cost a year', () => {
    const yearly = resealCycle(lives, 0, { pricePerM: 8, openCostPerMYear: 6, ratePerYear: 0 }).costPerM * 1e-6;
    const perYear = Array.from({ length: 60 }, (_, i) => {
      let waited = 0;
      for (let k = 1; k <= i; k++) waited += 6 * lives.failedByAge[k];
      return (waited + 8) / (i + 1);
    });
    expect(yearly).toBeCloseTo(Math.min(...perYear), 3);
    expect(one({ failed: Array(21).fill(1), rate: 0 }).offset[0]).toBe(0);
  });

  test('without a price no year is named', () => {
    const none = one({ failed: Array(21).fill(1), price: Number.NaN });
    expect([none.offset[0], none.triggerChance[0]]).toEqual([-1, Number.NaN]);
  });
});

describe('the reason', () => {
  const reason: DueReason = {
    planningYear: 2026,
    offset: 3,
    triggerChance: 0.21,
    failedByYearEnd: Array.from({ length: 21 }, (_, y) => Math.min(1, 0.06 * (y + 1))),
    knownFailed: false,
  };

  test('names the chance, the year, the trigger and what an open joint costs beside a wait, in no unit', () => {
    expect(dueReason(reason)).toBe(
      // The trigger is what a wait saves over what an open joint costs: 1 / 0.21 = 4.76.
      "Chance of having failed reaches 24 % by the end of 2029; resealing pays from 21 %, since a year with the joint open costs 4.8 times what a year's wait saves.",
    );
    expect(dueReason({ ...reason, offset: 0, knownFailed: true })).toMatch(/^Its last inspection found it failed/);
  });

  test('says why there is no year', () => {
    expect(dueReason({ ...reason, offset: -1, failedByYearEnd: Array(21).fill(0.1) })).toMatch(
      /still 10 % at the end of 2046; resealing pays from 21 %/,
    );
    expect(dueReason({ ...reason, offset: -1, triggerChance: 1.4 })).toBe(
      'Putting the resealing off by a year saves 1.4 times what a year with the joint open costs: not due on cost alone.',
    );
    expect(dueReason({ ...reason, offset: -1, triggerChance: Number.POSITIVE_INFINITY })).toMatch(
      /set to cost nothing/,
    );
    expect(dueReason({ ...reason, offset: -1, triggerChance: Number.NaN })).toMatch(/No unit price/);
  });
});
