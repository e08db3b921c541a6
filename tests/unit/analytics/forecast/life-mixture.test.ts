import { describe, expect, test } from 'vitest';
import {
  curveLogVariance,
  type LifeMixture,
  mixtureInterval,
  mixtureLogVariance,
  mixtureQuantile,
  mixtureSurvival,
} from '../../../../analytics/forecast/life-mixture.ts';

const one = (family: LifeMixture['family'], eta: number, sigma: number): LifeMixture => ({
  family,
  eta: Float64Array.of(eta),
  sigma: Float64Array.of(sigma),
});

describe('a mixture of lives', () => {
  test('of one Weibull has its closed-form quantiles', () => {
    // Quantile of a Weibull: scale (-log(1 - p))^(1/shape); shape 2.5, scale 10.
    const life = one('weibull', Math.log(10), 1 / 2.5);
    for (const p of [0.1, 0.5, 0.9]) {
      const expected = 10 * (-Math.log(1 - p)) ** (1 / 2.5);
      expect(Math.abs(mixtureQuantile(life, p) / expected - 1)).toBeLessThan(1e-6);
    }
    expect(mixtureSurvival(life, 10)).toBeCloseTo(Math.exp(-1), 12);
  });

  test('of two log-normals lies between them, and is wider than either', () => {
    const two: LifeMixture = {
      family: 'lognormal',
      eta: Float64Array.of(Math.log(5), Math.log(20)),
      sigma: Float64Array.of(0.3, 0.3),
    };
    const { lower, median, upper } = mixtureInterval(two);
    expect(median).toBeCloseTo(10, 4); // half of the mass on either side of the geometric mean
    expect(upper / lower).toBeGreaterThan(20 / 5);
    // Mean of the variances and variance of the means: 0.09 + log(2)².
    expect(mixtureLogVariance(two)).toBeCloseTo(0.09 + Math.LN2 ** 2, 12);
  });

  test.each([
    ['weibull', Math.PI ** 2 / 6], // Gumbel distribution: pi²/6
    ['loglogistic', Math.PI ** 2 / 3], // logistic distribution: pi²/3
    ['lognormal', 1],
  ] as const)('of one %s has the variance of its log life, also from its curve', (family, variance) => {
    const life = one(family, 2.3, 0.4);
    expect(mixtureLogVariance(life)).toBeCloseTo(0.16 * variance, 12);
    const ages = Float64Array.from({ length: 801 }, (_, j) => Math.exp(-3 + (10 * j) / 800));
    const found = curveLogVariance(
      ages,
      ages.map((age) => mixtureSurvival(life, age)),
    );
    expect(Math.abs(found / (0.16 * variance) - 1)).toBeLessThan(0.01);
  });
});
