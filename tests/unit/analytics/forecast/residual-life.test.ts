import { describe, expect, test } from 'vitest';
import { failureWithin, meanResidualYears, medianResidualYears } from '../../../../analytics/forecast/residual-life.ts';

const weibull = (ageYears: number) => ({ family: 'weibull' as const, eta: Math.log(18), sigma: 1 / 3, ageYears });
const lognormal = (ageYears: number) => ({ family: 'lognormal' as const, eta: Math.log(18), sigma: 0.6, ageYears });

describe('life still to go', () => {
  test('Weibull(3, 18) at ages 0, 10 and 20: five-year failure, mean and median residual life', () => {
    // Checked against quadrature to 12 digits.
    const expected = [
      [0, 0.0212054059894, 16.0736312082, 15.929946801],
      [10, 0.334512843025, 7.69456555484, 7.14799774558],
      [20, 0.729488779499, 3.62659230931, 2.92123933324],
    ];
    for (const [age, within5, mean, median] of expected) {
      expect(failureWithin(weibull(age), 5)).toBeCloseTo(within5, 12);
      expect(meanResidualYears(weibull(age))).toBeCloseTo(mean, 8);
      expect(medianResidualYears(weibull(age))).toBeCloseTo(median, 8);
    }
  });

  test('log-normal with median 18 and sigma 0.6 at ages 10 and 20', () => {
    expect(meanResidualYears(lognormal(10))).toBeCloseTo(14.2949395474, 8);
    expect(meanResidualYears(lognormal(20))).toBeCloseTo(13.271743595, 8);
    const median = medianResidualYears(lognormal(10));
    expect(failureWithin(lognormal(10), median)).toBeCloseTo(0.5, 10);
  });

  test('the log-logistic has a median and no mean that is worth showing', () => {
    const life = { family: 'loglogistic' as const, eta: Math.log(18), sigma: 0.5, ageYears: 0 };
    expect(medianResidualYears(life)).toBeCloseTo(18, 10);
    expect(failureWithin({ ...life, ageYears: 7 }, medianResidualYears({ ...life, ageYears: 7 }))).toBeCloseTo(0.5, 10);
    expect(meanResidualYears(life)).toBeNull();
  });
});
