import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  chanceOfAtMost,
  countInterval,
  MOST_FOR_EXACT,
  matchedCount,
  mixture,
  poissonBinomial,
  poissonBinomialChances,
} from '../../../../analytics/backtest/poisson-binomial.ts';

/** By adding up every course of events. */
function bruteForce(chances: readonly number[], times: readonly number[]): number[] {
  const most = times.reduce((sum, m) => sum + m, 0);
  const out = Array.from({ length: most + 1 }, () => 0);
  for (let course = 0; course < 2 ** chances.length; course++) {
    let [chance, count] = [1, 0];
    chances.forEach((p, i) => {
      const failed = (course >> i) & 1;
      chance *= failed ? p : 1 - p;
      count += failed * times[i];
    });
    out[count] += chance;
  }
  return out;
}

const chance = fc.double({ min: 0, max: 1, noNaN: true });

describe('number of failures among looks of unequal chances', () => {
  test('it agrees with adding up every course of events, looks counted several times too', () => {
    const looks = fc.array(fc.record({ p: chance, m: fc.integer({ min: 1, max: 3 }) }), { minLength: 1, maxLength: 9 });
    fc.assert(
      fc.property(looks, (rows) => {
        const found = poissonBinomialChances(
          Float64Array.from(rows, ({ p }) => p),
          Int32Array.from(rows, ({ m }) => m),
        );
        const expected = bruteForce(
          rows.map(({ p }) => p),
          rows.map(({ m }) => m),
        );
        expect(found.length).toBe(expected.length);
        expected.forEach((value, k) => {
          expect(Math.abs(found[k] - value)).toBeLessThan(1e-12);
        });
      }),
      { seed: 1 },
    );
  });

  test('with equal chances it gives the printed binomial table', () => {
    // Cumulative binomial tables as printed in statistics textbooks: n = 20, p = 0.3, and n = 10, p = 0.5.
    const twenty = poissonBinomial(new Float64Array(20).fill(0.3));
    expect([3, 6, 9].map((k) => twenty.atMost(k).toFixed(4))).toEqual(['0.1071', '0.6080', '0.9520']);
    const ten = poissonBinomial(new Float64Array(10).fill(0.5));
    expect([2, 4, 7].map((k) => ten.atMost(k).toFixed(4))).toEqual(['0.0547', '0.3770', '0.9453']);
    expect(countInterval(ten, 0.8)).toEqual({ lower: 3, upper: 7 });
  });

  test('one tail alone is the tail of the whole', () => {
    fc.assert(
      fc.property(fc.array(chance, { minLength: 1, maxLength: 30 }), fc.integer({ min: -1, max: 31 }), (p, k) => {
        const chances = Float64Array.from(p);
        expect(Math.abs(chanceOfAtMost(chances, k) - poissonBinomial(chances).atMost(k))).toBeLessThan(1e-12);
      }),
      { seed: 1 },
    );
  });

  test('where the normal takes over it is within a thousandth of the exact form', () => {
    const chances = Float64Array.from(
      { length: MOST_FOR_EXACT + 1 },
      (_, i) => 0.002 + 0.3 * (i / MOST_FOR_EXACT) ** 2,
    );
    const approximate = poissonBinomial(chances);
    const exact = poissonBinomialChances(chances);
    let sum = 0;
    exact.forEach((value, k) => {
      sum += value;
      expect(Math.abs(approximate.atMost(k) - sum)).toBeLessThan(1e-3);
    });
  });

  test('a binomial with the same mean and variance is within two hundredths of it', () => {
    const chances = Float64Array.of(0.02, 0.05, 0.1, 0.1, 0.2, 0.3, 0.3, 0.5, 0.7, 0.05, 0.05, 0.15);
    const exact = poissonBinomial(chances);
    const matched = matchedCount(exact.mean, exact.variance, chances.length);
    for (let k = 0; k <= chances.length; k++) expect(Math.abs(matched.atMost(k) - exact.atMost(k))).toBeLessThan(0.02);
  });

  test('a mixture has the mean of its parts and a spread that their difference adds to', () => {
    const parts = [poissonBinomial(new Float64Array(10).fill(0.1)), poissonBinomial(new Float64Array(10).fill(0.5))];
    const both = mixture(parts);
    expect(both.mean).toBeCloseTo(3, 12);
    // Mean of the variances 0.9 and 2.5, and the variance of the means 1 and 5.
    expect(both.variance).toBeCloseTo(1.7 + 4, 12);
    expect(both.atMost(3)).toBeCloseTo((parts[0].atMost(3) + parts[1].atMost(3)) / 2, 12);
  });

  test('nothing to fail is a count of 0', () => {
    expect(countInterval(poissonBinomial(new Float64Array(0)), 0.8)).toEqual({ lower: 0, upper: 0 });
    expect(countInterval(matchedCount(0, 0, 5), 0.8)).toEqual({ lower: 0, upper: 0 });
  });
});
