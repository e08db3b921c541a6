import { describe, expect, test } from 'vitest';
import type { Family } from '../../../../analytics/survival/aft.ts';
import {
  cumulativeHazardAt,
  normalCumulativeHazard,
  normalHazard,
  standardQuantile,
  survivalAt,
} from '../../../../analytics/survival/families.ts';
import { familyTerms, newTerms } from '../../../../analytics/survival/row-terms.ts';

const close = (found: number, expected: number, tolerance = 1e-13): void => {
  expect(Math.abs(found - expected)).toBeLessThan(tolerance * Math.max(1e-300, Math.abs(expected)));
};
const FAMILIES: readonly Family[] = ['weibull', 'lognormal', 'loglogistic', 'exponential'];

test('the normal tail keeps its digits on both sides', () => {
  // mpmath, 50 digits: z, -log of the upper tail, density over upper tail.
  const exact = [
    [-12, 1.77648211207768e-33, 2.14638373566306e-32],
    [-5, 2.86651612963764e-7, 1.48671994090491e-6],
    [0, Math.LN2, 0.797884560802865],
    [3, 6.60772622151035, 3.28309865493044],
    [10, 53.2312851505125, 10.0980932339625],
    [38, 726.55721601882, 38.0262794665759],
  ];
  for (const [z, cumulative, hazard] of exact) {
    close(normalCumulativeHazard(z), cumulative);
    close(normalHazard(z), hazard);
  }
});

describe('log chance of failing inside an interval', () => {
  // mpmath, 50 digits: lower z, width, value.
  const exact: Record<string, readonly (readonly [number, number, number])[]> = {
    lognormal: [
      [-12, 1, -63.8249433922096],
      [1, 1e-9, -22.1422043706511],
      [-20, 1e-3, -207.816677313076],
      [-1, 3, -0.200166294324463],
    ],
    weibull: [
      [-30, 0.5, -30.4327521295673],
      [1, 1e-9, -22.4415476662646],
      [2, 1, -7.38905916081726],
      [-30, 1e-8, -48.4206807389525],
      [5, 3, -148.413159102577],
    ],
    loglogistic: [
      [-30, 0.5, -30.4327521295674],
      [1, 1e-9, -22.3497892122139],
      [2, 1, -2.6341905080038],
      [-30, 1e-8, -48.4206807389526],
      [5, 3, -5.05811993580472],
    ],
  };
  for (const [family, cases] of Object.entries(exact)) {
    test(family, () => {
      const terms = familyTerms(family as Family);
      for (const [zLower, gap, value] of cases) {
        const out = newTerms();
        terms.interval(zLower, gap, out);
        close(out[0], value, 2e-13);
        expect(terms.intervalValue(zLower, gap)).toBe(out[0]);
      }
    });
  }
});

test('derivatives stay finite where an interval is a thousandth of a second wide or far in a tail', () => {
  for (const family of FAMILIES) {
    for (const z of [-35, -8, 0, 3]) {
      for (const gap of [1e-12, 1e-6, 1, 30]) {
        const out = newTerms();
        familyTerms(family).interval(z, gap, out);
        expect([...out].every(Number.isFinite)).toBe(true);
      }
    }
  }
});

describe('published probabilities', () => {
  test('Weibull(shape 3, scale 18): survival at 5 from new', () => {
    // 1 - exp(-(5/18)^3) = 0.0212054059894, by hand.
    close(1 - survivalAt('weibull', Math.log(5), Math.log(18), 1 / 3), 0.0212054059894, 1e-11);
  });

  test('conditional survival from the fit to the NIST handbook test (8.4.1.3)', () => {
    const life = (hours: number): number => survivalAt('weibull', Math.log(hours), Math.log(606.52756), 1 / 1.7207973);
    expect((life(300) / life(200)).toFixed(6)).toBe('0.861076');
    expect((life(500) / life(400)).toFixed(6)).toBe('0.795571');
    expect((life(600) / life(500)).toFixed(6)).toBe('0.767726');
  });
});

test('a quantile is where survival has fallen to one minus its share', () => {
  for (const family of FAMILIES) {
    for (const p of [1e-6, 0.1, 0.5, 0.9, 0.9999]) {
      const logTime = 2 + 0.4 * standardQuantile(family, p);
      close(1 - survivalAt(family, logTime, 2, 0.4), p, 1e-9);
    }
    expect(() => standardQuantile(family, 1)).toThrow(RangeError);
    expect(survivalAt(family, -Infinity, 2, 0.4)).toBe(1);
    expect(cumulativeHazardAt(family, -Infinity, 2, 0.4)).toBe(0);
  }
});
