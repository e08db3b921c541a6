import { describe, expect, test } from 'vitest';
import { coxSnell } from '../../../../analytics/diagnostics/cox-snell.ts';
import { probabilityResiduals, residualsAgainst } from '../../../../analytics/diagnostics/probability-residual.ts';
import type { AftData, AftFit } from '../../../../analytics/survival/aft.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { weibullRows } from './weibull-rows.ts';

const exponentialFit = (scaleYears: number): AftFit => ({
  family: 'exponential',
  names: ['(Intercept)'],
  coefficients: Float64Array.of(Math.log(scaleYears)),
  scale: 1,
  logLikelihood: 0,
  covariance: null,
  observations: 1,
  failures: 1,
  iterations: 0,
  converged: true,
  status: 'ok',
  warnings: [],
  droppedNames: [],
});

const rowsOf = (ages: readonly (readonly [number, number, number])[]): AftData => ({
  entry: Float64Array.from(ages, ([entry]) => entry),
  lower: Float64Array.from(ages, ([, lower]) => lower),
  upper: Float64Array.from(ages, ([, , upper]) => upper),
  weight: new Float64Array(ages.length).fill(1),
  covariates: new Float64Array(0),
  names: [],
  intercept: true,
});

describe('Cox–Snell residuals on the conditional scale', () => {
  const data = weibullRows({ rows: 4000, seed: 31 });

  test('of the fitted family they follow the unit exponential', () => {
    const found = coxSnell(data, fitAft(data, { family: 'weibull', prior: null }));
    // With inspections alone the estimate nears the truth as the cube root of the rows (Groeneboom and Wellner, 1992): 4,000
    // rows leave some hundredths.
    expect(found.largestGap).toBeLessThan(0.08);
    expect(found.note).toBeNull();
    expect(found.rows).toBeGreaterThan(3500);
  });

  test('of a wrong family they do not', () => {
    const right = coxSnell(data, fitAft(data, { family: 'weibull', prior: null }));
    const wrong = coxSnell(data, fitAft(data, { family: 'exponential', prior: null }));
    expect(wrong.largestGap).toBeGreaterThan(0.1);
    expect(wrong.largestGap).toBeGreaterThan(3 * right.largestGap);
  });

  test('boxes stand in order, survival falls, and numbers are finite or null', () => {
    const { boxes } = coxSnell(data, fitAft(data, { family: 'weibull', prior: null }));
    boxes.forEach(({ from, to, survivalAfter, exponentialAfter }, j) => {
      expect([from, survivalAfter, exponentialAfter].every(Number.isFinite)).toBe(true);
      if (to !== null) expect(to).toBeGreaterThanOrEqual(from);
      if (j > 0) expect(survivalAfter).toBeLessThanOrEqual(boxes[j - 1].survivalAfter);
    });
  });

  test('rows that say nothing leave no curve', () => {
    const { boxes, note } = coxSnell(rowsOf([[3, 3, Infinity]]), exponentialFit(10));
    expect(boxes).toEqual([]);
    expect(note).toContain('No row');
  });
});

describe('probability-scale residuals', () => {
  test('by hand: interval, censored, exact and late entry under an exponential life of 10 years', () => {
    const data = rowsOf([
      [0, 2, 5],
      [0, 4, Infinity],
      [0, 6, 6],
      [3, 5, 8],
    ]);
    const failedBy = (years: number) => 1 - Math.exp(-years / 10);
    const residuals = probabilityResiduals(data, exponentialFit(10));
    expect(residuals[0]).toBeCloseTo(failedBy(2) + failedBy(5) - 1, 12);
    expect(residuals[1]).toBeCloseTo(failedBy(4), 12);
    expect(residuals[2]).toBeCloseTo(2 * failedBy(6) - 1, 12);
    // Conditional on soundness at 3: an exponential life forgets them.
    expect(residuals[3]).toBeCloseTo(failedBy(2) + failedBy(5) - 1, 12);
  });

  test('means are near 0 in every bin where the fit is right, and bend where a curved effect is missed', () => {
    const means = (bend: number) => {
      const data = weibullRows({ rows: 5000, seed: 33, bend });
      const fit = fitAft(data, { family: 'weibull', prior: null });
      const covariate = { name: 'x', values: data.covariates };
      return residualsAgainst(probabilityResiduals(data, fit), data.weight, covariate).bins;
    };
    // 500 rows a bin with a residual SD of about 0.55: standard error 0.025.
    const right = means(0);
    expect(right).toHaveLength(10);
    for (const { mean } of right) expect(Math.abs(mean)).toBeLessThan(0.1);
    const bent = means(0.2);
    expect(bent[0].interval?.lower).toBeGreaterThan(0.1);
    expect(bent[9].interval?.lower).toBeGreaterThan(0.05);
    expect(bent[4].interval?.upper).toBeLessThan(0);
  });

  test('few distinct values are a bin each, and missing ones a bin of their own', () => {
    const residuals = Float64Array.of(0.1, 0.3, -0.2, 0.5, 0);
    const values = Float64Array.of(0, 0, 1, Number.NaN, 1);
    const { bins } = residualsAgainst(residuals, new Float64Array(5).fill(1), { name: 'blasted', values });
    expect(bins.map(({ from, rows }) => [from, rows])).toEqual([
      [0, 2],
      [1, 2],
      [null, 1],
    ]);
    expect(bins.map(({ mean }) => Number(mean.toFixed(3)))).toEqual([0.2, -0.1, 0.5]);
    expect(bins[2].interval).toBeNull();
  });

  test('a value that many rows share is not split over bins', () => {
    const values = Float64Array.from({ length: 100 }, (_, i) => (i < 60 ? 5 : i));
    const { bins } = residualsAgainst(new Float64Array(100), new Float64Array(100).fill(1), { name: 'width', values });
    expect(bins[0]).toMatchObject({ from: 5, to: 5, rows: 60 });
    expect(bins.reduce((sum, { rows }) => sum + rows, 0)).toBe(100);
  });
});
