import { describe, expect, test } from 'vitest';
import type { AftData } from '../../../../analytics/survival/aft.ts';
import { compress } from '../../../../analytics/survival/compress.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { logLikelihood } from '../../../../analytics/survival/log-likelihood.ts';
import { standardisedCoefficients } from '../../../../analytics/survival/posterior.ts';
import { standardise } from '../../../../analytics/survival/standardise.ts';
import { weakPrior } from '../../../../analytics/survival/weak-prior.ts';
import { RECOVERED_FAMILIES, simulateLives } from './recovery.ts';

const MANY = 140_000;

/** Each row so many times, one after the other. */
function repeated(data: AftData, times: number): AftData {
  const spread = (from: Float64Array, columns = 1): Float64Array =>
    Float64Array.from({ length: from.length * times }, (_, at) => {
      const row = Math.floor(at / columns / times);
      return from[row * columns + (at % columns)];
    });
  return {
    ...data,
    entry: spread(data.entry),
    lower: spread(data.lower),
    upper: spread(data.upper),
    weight: spread(data.weight),
    covariates: spread(data.covariates, data.names.length),
  };
}

describe('very many rows', () => {
  test('that repeat are merged, and others left as they are', () => {
    const distinct = simulateLives('weibull', MANY, 1);
    expect(compress(distinct).lower).toBe(distinct.lower);
    const merged = compress(repeated(simulateLives('weibull', MANY / 7, 1), 7));
    expect(merged.lower).toHaveLength(MANY / 7);
    expect(new Set(merged.weight)).toEqual(new Set([7]));
  });

  test.each(RECOVERED_FAMILIES)(
    '%s: a search that begins on a part of them ends where the slopes of all vanish',
    (family) => {
      const data = simulateLives(family, 85_000, 2);
      const fit = fitAft(data, { family, prior: null });
      expect(fit.status).toBe('ok');
      expect(largestScore(data, fit.coefficients, fit.scale, family)).toBeLessThan(1e-6);
    },
  );

  test('a switch that is on in three rows is fitted although a part of the rows may have none of them', () => {
    const plain = simulateLives('weibull', 90_000, 3);
    const failed = [...plain.upper.keys()].filter((i) => plain.upper[i] < Number.POSITIVE_INFINITY).slice(0, 3);
    const covariates = new Float64Array(90_000);
    for (const row of failed) covariates[row] = 1;
    const data = { ...plain, names: ['rare'], covariates };
    const fit = fitAft(data, { family: 'weibull', prior: null });
    expect(fit.converged).toBe(true);
    expect(largestScore(data, fit.coefficients, fit.scale, 'weibull')).toBeLessThan(1e-6);
  });

  test('a prior that they outweigh changes the fit by less than a tenth of a standard error', () => {
    const data = simulateLives('weibull', 90_000, 4);
    const [plain, held] = [null, weakPrior(data)].map((prior) => fitAft(data, { family: 'weibull', prior }));
    expect(held.status).toBe('ok');
    for (const [j, coefficient] of plain.coefficients.entries()) {
      const error = Math.sqrt(plain.covariance?.[j * 4 + j] ?? Number.NaN);
      expect(Math.abs(held.coefficients[j] - coefficient)).toBeLessThan(0.1 * error);
    }
  });
});

/** Largest slope of the likelihood of all rows, in standard errors. */
function largestScore(
  data: AftData,
  coefficients: Float64Array,
  scale: number,
  family: (typeof RECOVERED_FAMILIES)[number],
): number {
  const design = standardise(compress(data), null);
  const size = design.kept.length + 1;
  const [gradient, hessian] = [new Float64Array(size), new Float64Array(size * size)];
  const delta = standardisedCoefficients(design, coefficients).map((b) => b / scale);
  logLikelihood(design, family).derivatives(delta, 1 / scale, gradient, hessian);
  return Math.max(...gradient.map((slope, j) => Math.abs(slope) / Math.sqrt(-hessian[j * size + j])));
}
