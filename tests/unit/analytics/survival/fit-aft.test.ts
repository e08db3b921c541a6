import { describe, expect, test } from 'vitest';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { aftCases, caseData, dataOf, leftTruncated, mixedCensoring } from '../../../reference/survival/read.ts';

/** |found - expected| relative to the larger of |expected| and `floor`. */
const relative = (found: number, expected: number, floor = 1e-12): number =>
  Math.abs(found - expected) / Math.max(Math.abs(expected), floor);

describe('twelve rows of every kind of censoring with delayed entry', () => {
  for (const expected of mixedCensoring.fits) {
    test(`${expected.family}: the optimum found to 1e-9 by independent high-precision programs`, () => {
      const fit = fitAft(dataOf(mixedCensoring.rows), { family: expected.family, prior: null });
      const covariance = fit.covariance ?? new Float64Array(4);
      expect(relative(fit.coefficients[0], expected.mu)).toBeLessThan(1e-9);
      expect(relative(fit.scale, expected.sigma)).toBeLessThan(1e-9);
      expect(relative(fit.logLikelihood, expected.logLikelihood)).toBeLessThan(1e-12);
      expect(relative(Math.sqrt(covariance[0]), expected.seMu)).toBeLessThan(1e-9);
      expect(relative(Math.sqrt(covariance[3]), expected.seLogSigma)).toBeLessThan(1e-9);
      expect(relative(covariance[1], expected.covariance)).toBeLessThan(1e-9);
      expect(fit).toMatchObject({ converged: true, status: 'ok', observations: 27, failures: 12 });
    });
  }
});

describe('fits by the R package survival, 3.5-3', () => {
  for (const reference of aftCases) {
    for (const expected of reference.fits) {
      test(`${reference.name}, ${expected.dist}`, () => {
        const fit = fitAft(caseData(reference), { family: expected.dist, prior: null });
        fit.names.forEach((name, j) => {
          expect(relative(fit.coefficients[j], expected.coefficients[name])).toBeLessThan(1e-6);
        });
        expect(relative(fit.scale, expected.scale)).toBeLessThan(1e-6);
        expect(relative(fit.logLikelihood, expected.logLik)).toBeLessThan(1e-10);
        const flat = [expected.covariance].flat(2);
        expect(fit.covariance).toHaveLength(flat.length);
        const errors = Object.values(expected.standardErrors);
        flat.forEach((value, k) => {
          const scale = errors[Math.floor(k / errors.length)] * errors[k % errors.length];
          expect(Math.abs((fit.covariance?.[k] ?? Infinity) - value) / scale).toBeLessThan(2e-6);
        });
        expect(fit.converged).toBe(true);
      });
    }
  }
});

test('a delayed-entry Weibull regression agrees with direct maximisation in R (myeloma, 3882 patients)', () => {
  const { rows, weibull } = leftTruncated;
  const fit = fitAft(
    {
      entry: Float64Array.from(rows, (r) => r[1]),
      lower: Float64Array.from(rows, (r) => r[2]),
      upper: Float64Array.from(rows, (r) => (r[3] ? r[2] : Infinity)),
      weight: new Float64Array(rows.length).fill(1),
      covariates: Float64Array.from(rows, (r) => r.x),
      names: ['decadesSince1980'],
      intercept: true,
    },
    { family: 'weibull', prior: null },
  );
  // optim's BFGS stops at about 1e-7 relative in the coefficients and its Hessian is by differences.
  expect(relative(fit.coefficients[0], weibull.intercept)).toBeLessThan(1e-6);
  expect(relative(fit.coefficients[1], weibull.decadesSince1980)).toBeLessThan(1e-5);
  expect(relative(Math.log(fit.scale), weibull.logScale)).toBeLessThan(1e-5);
  expect(relative(fit.logLikelihood, weibull.logLik)).toBeLessThan(1e-12);
  weibull.standardErrors.forEach((expected, j) => {
    expect(relative(Math.sqrt(fit.covariance?.[4 * j] ?? 0), expected)).toBeLessThan(1e-4);
  });
});
