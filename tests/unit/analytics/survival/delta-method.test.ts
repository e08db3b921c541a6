import { describe, expect, test } from 'vitest';
import type { AftFit } from '../../../../analytics/survival/aft.ts';
import { conditionalFailure, lifeQuantile, linearPredictor } from '../../../../analytics/survival/delta-method.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { aftCases, caseData } from '../../../reference/survival/read.ts';

describe('quantiles of life with their standard errors agree with the R package survival, 3.5-3', () => {
  for (const reference of aftCases) {
    for (const expected of reference.fits) {
      test(`${reference.name}, ${expected.dist}`, () => {
        const fit = fitAft(caseData(reference), { family: expected.dist, prior: null });
        const covariates = reference.covariates.map((name) => reference.rows[0][name] as number);
        const { p, time, se } = expected.firstRowQuantiles;
        p.forEach((share, k) => {
          const found = lifeQuantile(fit, covariates, { p: share });
          expect(Math.abs(found.estimate / time[k] - 1)).toBeLessThan(1e-6);
          expect(Math.abs((found.standardError ?? 0) / se[k] - 1)).toBeLessThan(1e-5);
        });
      });
    }
  }
});

test('cracks in 167 parts: printed 1 %, 10 % and 50 % quantiles of the Weibull', () => {
  // Nelson 1982, Applied Life Data Analysis; values from R's survival, standard errors from its own squared ones.
  const cracks = aftCases.find((one) => one.name === 'cracks');
  if (!cracks) throw new Error('no cracks');
  const fit = fitAft(caseData(cracks), { family: 'weibull', prior: null });
  const printed = [0.01, 0.1, 0.5].map((p) => {
    const { estimate, standardError } = lifeQuantile(fit, [], { p });
    return [estimate.toFixed(4), standardError?.toFixed(4)];
  });
  expect(printed).toEqual([
    ['98.4718', '28.3202'],
    ['479.3174', '67.6916'],
    ['1704.7102', '118.5591'],
  ]);
});

const weibull = (shape: number, life: number, covariance: Float64Array | null): AftFit => ({
  family: 'weibull',
  names: ['(Intercept)'],
  coefficients: Float64Array.of(Math.log(life)),
  scale: 1 / shape,
  logLikelihood: 0,
  covariance,
  observations: 1,
  failures: 1,
  iterations: 1,
  converged: true,
  status: 'ok',
  warnings: [],
  droppedNames: [],
});

describe('chance of failing soon, known sound today', () => {
  test('Weibull(3, 18), five years from ages 0, 10 and 20', () => {
    // By hand: 1 - exp(((age)/18)^3 - ((age + 5)/18)^3).
    const expected = [0.0212054059894, 0.334512843025, 0.729488779499];
    [0, 10, 20].forEach((age, k) => {
      const found = conditionalFailure(weibull(3, 18, null), [], { age, horizon: 5 });
      expect(Math.abs(found.estimate - expected[k])).toBeLessThan(1e-12);
      expect(found).toMatchObject({ standardError: null, lower: null, upper: null });
    });
  });

  test('its standard error is the one from central differences of the chance itself', () => {
    const covariance = Float64Array.of(0.02, 0.004, 0.004, 0.03);
    const chance = (mu: number, logSigma: number): number =>
      conditionalFailure(weibull(Math.exp(-logSigma), Math.exp(mu), null), [], { age: 7, horizon: 4 }).estimate;
    const [mu, logSigma, h] = [Math.log(18), -Math.log(3), 1e-5];
    const byMu = (chance(mu + h, logSigma) - chance(mu - h, logSigma)) / (2 * h);
    const bySigma = (chance(mu, logSigma + h) - chance(mu, logSigma - h)) / (2 * h);
    const variance = byMu * byMu * 0.02 + 2 * byMu * bySigma * 0.004 + bySigma * bySigma * 0.03;
    const found = conditionalFailure(weibull(3, 18, covariance), [], { age: 7, horizon: 4, level: 0.8 });
    expect(Math.abs((found.standardError ?? 0) / Math.sqrt(variance) - 1)).toBeLessThan(1e-8);
    expect(found.lower).toBeGreaterThan(0);
    expect(found.lower).toBeLessThan(found.estimate);
    expect(found.upper).toBeGreaterThan(found.estimate);
    expect(found.upper).toBeLessThan(1);
  });

  test('ages and covariates that make no sense are refused', () => {
    const fit = weibull(3, 18, null);
    expect(() => conditionalFailure(fit, [], { age: -1, horizon: 5 })).toThrow('age is -1; expected 0 or more');
    expect(() => conditionalFailure(fit, [], { age: 1, horizon: 0 })).toThrow('horizon is 0; expected above 0');
    expect(() => linearPredictor(fit, [1])).toThrow(/1 covariates given/);
    expect(() => lifeQuantile(weibull(3, 18, new Float64Array(4)), [], { p: 0.5, level: 1 })).toThrow(/level is 1/);
  });
});
