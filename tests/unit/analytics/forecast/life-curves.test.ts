import { describe, expect, test } from 'vitest';
import { classCurve } from '../../../../analytics/forecast/class-curve.ts';
import { segmentCurve } from '../../../../analytics/forecast/segment-curve.ts';
import type { PosteriorDraws } from '../../../../analytics/survival/aft.ts';

const draws: PosteriorDraws = {
  draws: 3,
  coefficients: Float64Array.of(Math.log(10), Math.log(12), Math.log(14)),
  scale: Float64Array.of(0.4, 0.4, 0.4),
  effectiveSampleSize: 3,
  paretoK: 0,
};
const survival = (t: number, scale: number) => Math.exp(-((t / scale) ** 2.5));

describe('life curves', () => {
  test('an average seal: the mean of the draws at each age, from 1 at age 0', () => {
    const curve = classCurve([0, 5, 10], [1], draws, 'weibull');
    expect(curve.survival[0]).toBe(1);
    const mean = [10, 12, 14].reduce((sum, scale) => sum + survival(10, scale), 0) / 3;
    expect(Math.abs(curve.survival[2] - mean)).toBeLessThan(1e-6);
    // Three draws: the 10th percentile lies a fifth of the way from the lowest to the middle curve.
    const [low, middle] = [survival(10, 10), survival(10, 12)];
    expect(Math.abs(curve.lower[2] - (low + 0.2 * (middle - low)))).toBeLessThan(1e-6);
  });

  test('one segment: survival given soundness at the last look', () => {
    const curve = segmentCurve({ row: [1], soundAgeYears: 6, agesYears: [6, 9] }, draws, 'weibull');
    const mean = [10, 12, 14].reduce((sum, scale) => sum + survival(9, scale) / survival(6, scale), 0) / 3;
    expect(curve.survival[0]).toBe(1);
    expect(Math.abs(curve.survival[1] - mean)).toBeLessThan(1e-6);
  });

  test('damage near the threshold bends the curve down, and it never rises', () => {
    const input = { row: [1], soundAgeYears: 6, agesYears: Array.from({ length: 30 }, (_, i) => 6 + i) };
    const plain = segmentCurve(input, draws, 'weibull');
    const damage = { share: 0.09, failureThresholdShare: 0.1, rule: { exponent: 3, logSd: 0.3, pairs: 0 } };
    const bent = segmentCurve({ ...input, damage }, draws, 'weibull');
    expect(bent.survival[3]).toBeLessThan(plain.survival[3]);
    for (let j = 1; j < 30; j++) expect(bent.survival[j]).toBeLessThanOrEqual(bent.survival[j - 1]);
  });

  test('ages that go back before the look are refused', () => {
    expect(() => segmentCurve({ row: [1], soundAgeYears: 6, agesYears: [5] }, draws, 'weibull')).toThrow(/at least 6/);
    expect(() => segmentCurve({ row: [1, 2], soundAgeYears: 6, agesYears: [7] }, draws, 'weibull')).toThrow(
      /row has 2/,
    );
  });
});
