import { describe, expect, test } from 'vitest';
import {
  delayedRenewalsByYear,
  renewalFunctionRefined,
  renewalsByYear,
  wholeYearLives,
  wholeYearResidualLives,
} from '../../../../analytics/forecast/renewal.ts';

const weibull = (shape: number, scale: number) => (t: number) => Math.exp(-((t / scale) ** shape));
const sumTo = (values: Float64Array, n: number) => values.slice(0, n + 1).reduce((sum, value) => sum + value, 0);

describe('the renewal function', () => {
  test('closed forms: exponential, Erlang-2 and uniform lives', () => {
    // Barlow and Proschan; Feller: M = t; t/2 - 1/4 + exp(-2t)/4; exp(t) - 1 up to 1, then - (t - 1) exp(t - 1).
    const refined = (failedBy: (t: number) => number, t: number) => renewalFunctionRefined(failedBy, t);
    expect(refined((t) => -Math.expm1(-t), 3)).toBeCloseTo(3, 8);
    const erlang = (t: number) => 1 - (1 + t) * Math.exp(-t);
    for (const t of [0.5, 1, 2, 3, 5]) expect(refined(erlang, t)).toBeCloseTo(t / 2 - 0.25 + Math.exp(-2 * t) / 4, 8);
    const uniform = (t: number) => Math.min(t, 1);
    for (const t of [0.25, 0.5, 1]) expect(refined(uniform, t)).toBeCloseTo(Math.expm1(t), 8);
    expect(refined(uniform, 1.5)).toBeCloseTo(2.657328, 5);
    expect(refined(uniform, 2)).toBeCloseTo(3.670774, 5);
  });

  test('Weibull lives of scale 1 at 0.5, 1, 2 and 3', () => {
    // Recursion and power series, agreeing to 1e-9 relative.
    const expected = new Map([
      [1.5, [0.330269844, 0.841578137, 1.9455008, 3.053713945]],
      [2, [0.2307938936, 0.7536912775, 1.8940393468, 3.021745009]],
      [2.5, [0.1647713326, 0.7025071255, 1.8439075575, 2.9727856652]],
      [3, [0.118262669, 0.6723291002, 1.8010752569, 2.9247749228]],
      [4, [0.0606422576, 0.6445989068, 1.7466056124, 2.8489766682]],
    ]);
    for (const [shape, values] of expected)
      values.forEach((value, i) => {
        const until = [0.5, 1, 2, 3][i];
        const found = renewalFunctionRefined((t) => 1 - weibull(shape, 1)(t), until, 200);
        // A shape of 1.5 has no second derivative at 0, so cancelling step⁴ gains less there.
        expect(Math.abs(found - value)).toBeLessThan(shape === 1.5 ? 2e-6 : 2e-8);
      });
  });
});

describe('the discrete renewal equation in ever finer steps', () => {
  const renewed = (survival: (t: number) => number, until: number, perYear: number) =>
    sumTo(renewalsByYear(wholeYearLives((step) => survival(step / perYear), until * perYear)), until * perYear);

  test('exponential and Erlang-2 lives, to a thousandth', () => {
    // Cox, Renewal Theory (1962): t and t/2 - 1/4 + exp(-2t)/4 at rate 1.
    expect(Math.abs(renewed((t) => Math.exp(-t), 3, 2000) - 3)).toBeLessThan(1e-3);
    expect(Math.abs(renewed((t) => (1 + t) * Math.exp(-t), 3, 2000) - 1.2506196880441667)).toBeLessThan(1e-3);
  });

  test.each([
    [1.5, 3.053713945],
    [2, 3.021745009],
    [3, 2.9247749228],
    [4, 2.8489766682],
  ])('Weibull lives of shape %s by age 3', (shape, expected) => {
    expect(Math.abs(renewed(weibull(shape, 1), 3, 1500) - expected)).toBeLessThan(2e-3);
  });
});

describe('renewals by whole years', () => {
  test('Weibull(3, 18): expected renewals in 10, 20, 30 and 60 years from new', () => {
    const renewals = renewalsByYear(wholeYearLives(weibull(3, 18), 60));
    const expected = [0.158631321632, 0.807696393909, 1.39958240404, 3.21273116672];
    expect([10, 20, 30, 60].map((n) => sumTo(renewals, n).toFixed(9))).toEqual(expected.map((x) => x.toFixed(9)));
  });

  test('the same seal aged 12 today, in 5, 10, 20 and 30 years', () => {
    const first = wholeYearResidualLives(weibull(3, 18), 12, 30);
    const renewals = delayedRenewalsByYear(first, wholeYearLives(weibull(3, 18), 30));
    const expected = [0.422168365933, 0.810814956394, 1.35632355549, 1.98050966967];
    expect([5, 10, 20, 30].map((n) => sumTo(renewals, n).toFixed(9))).toEqual(expected.map((x) => x.toFixed(9)));
  });

  test('a life of exactly three years renews in years 3, 6 and 9', () => {
    const lives = wholeYearLives((t) => (t < 3 ? 1 : 0), 10);
    expect([...renewalsByYear(lives)]).toEqual([0, 0, 0, 1, 0, 0, 1, 0, 0, 1, 0]);
  });
});
