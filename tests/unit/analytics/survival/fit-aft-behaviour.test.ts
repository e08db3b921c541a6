import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { AftData, AftFit, AftPrior, Family, FitStatus } from '../../../../analytics/survival/aft.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { weakPrior } from '../../../../analytics/survival/weak-prior.ts';
import { aftCases, caseData, dataOf, mixedCensoring } from '../../../reference/survival/read.ts';

const FAMILIES: readonly Family[] = ['weibull', 'lognormal', 'loglogistic', 'exponential'];
const ovarian = caseData(aftCases.find((one) => one.name === 'ovarian') ?? aftCases[0]);
const fitTo = (data: AftData, family: Family = 'weibull', prior: AftPrior | null = null): AftFit =>
  fitAft(data, { family, prior });

const pickRows = (data: AftData, order: readonly number[]): AftData => ({
  ...data,
  entry: Float64Array.from(order, (i) => data.entry[i]),
  lower: Float64Array.from(order, (i) => data.lower[i]),
  upper: Float64Array.from(order, (i) => data.upper[i]),
  weight: Float64Array.from(order, (i) => data.weight[i]),
  covariates: Float64Array.from(
    order.flatMap((i) => [...data.covariates.subarray(i * data.names.length, (i + 1) * data.names.length)]),
  ),
});
const column = (data: AftData, j: number): number[] =>
  [...data.lower.keys()].map((i) => data.covariates[i * data.names.length + j]);
const withColumns = (
  data: AftData,
  columns: Readonly<Record<string, readonly number[]>>,
  intercept = true,
): AftData => ({
  ...data,
  intercept,
  names: Object.keys(columns),
  covariates: Float64Array.from([...data.lower.keys()].flatMap((i) => Object.values(columns).map((c) => c[i]))),
});
const expectClose = (found: ArrayLike<number>, expected: ArrayLike<number>, tolerance = 1e-9): void => {
  expect(found).toHaveLength(expected.length);
  for (let j = 0; j < expected.length; j++)
    expect(Math.abs(found[j] - expected[j])).toBeLessThan(tolerance * Math.max(1, Math.abs(expected[j])));
};

describe.each(FAMILIES)('%s: what must not matter', (family) => {
  const base = fitTo(ovarian, family);

  test('the unit of time shifts the intercept alone', () => {
    const months = 30.4375;
    const scaled = fitTo(
      { ...ovarian, lower: ovarian.lower.map((t) => t / months), upper: ovarian.upper.map((t) => t / months) },
      family,
    );
    expectClose(
      scaled.coefficients,
      base.coefficients.map((b, j) => (j === 0 ? b - Math.log(months) : b)),
    );
    expectClose([scaled.scale], [base.scale]);
    expectClose(scaled.covariance ?? [], base.covariance ?? [1]);
    expectClose([scaled.logLikelihood], [base.logLikelihood + base.failures * Math.log(months)]);
  });

  test('the unit and zero of a covariate change its coefficient and the intercept alone', () => {
    const moved = fitTo(
      withColumns(ovarian, { age: column(ovarian, 0).map((x) => 1000 * x + 5e4), rx: column(ovarian, 1) }),
      family,
    );
    const slope = base.coefficients[1] / 1000;
    expectClose(moved.coefficients, [base.coefficients[0] - slope * 5e4, slope, base.coefficients[2]], 1e-8);
    expectClose([moved.logLikelihood, moved.scale], [base.logLikelihood, base.scale]);
  });

  test('the order of rows, and one row of weight two against two rows', () => {
    const rows = [...ovarian.lower.keys()];
    expectClose(fitTo(pickRows(ovarian, rows.reverse()), family).coefficients, base.coefficients);
    const twice = fitTo(pickRows(ovarian, [...rows, ...rows]), family);
    const weighted = fitTo({ ...ovarian, weight: ovarian.weight.map((w) => 2 * w) }, family);
    const split = fitTo({ ...pickRows(ovarian, [...rows, ...rows]), weight: new Float64Array(52).fill(0.5) }, family);
    expectClose(twice.coefficients, weighted.coefficients);
    expectClose(twice.covariance ?? [], weighted.covariance ?? [1]);
    expectClose([twice.observations, twice.failures], [52, 24]);
    expectClose(split.coefficients, base.coefficients);
  });

  test('one column for each class instead of an intercept and a difference', () => {
    const second = column(ovarian, 1).map((rx) => (rx === 2 ? 1 : 0));
    const first = second.map((x) => 1 - x);
    const age = column(ovarian, 0);
    const contrast = fitTo(withColumns(ovarian, { second, age }), family);
    const classes = fitTo(withColumns(ovarian, { first, second, age }, false), family);
    const [intercept, difference, slope] = contrast.coefficients;
    expectClose(classes.coefficients, [intercept, intercept + difference, slope]);
    expectClose([classes.logLikelihood], [contrast.logLikelihood]);
    expect(classes.names).toEqual(['first', 'second', 'age']);
  });
});

test('a row that says nothing, sound at its own entry, changes nothing but the count', () => {
  const rows = mixedCensoring.rows;
  const fit = fitTo(dataOf(rows));
  const more = fitTo(dataOf([...rows, [7, 7, null, 3]]));
  expectClose(more.coefficients, fit.coefficients);
  expect(more.observations).toBe(fit.observations + 3);
});

describe('a prior', () => {
  const prior: AftPrior = { means: [7, 0, 0.5], sds: [1, 0.05, 0.3], logScaleMean: -0.9, logScaleSd: 0.4 };

  test('is on the original scale: with next to no width the fit is the prior', () => {
    const tight = { ...prior, sds: [1e-4, 1e-6, 1e-4], logScaleSd: 1e-4 };
    for (const family of FAMILIES) {
      const fit = fitTo(ovarian, family, tight);
      expectClose(fit.coefficients, [7, 0, 0.5], 1e-4);
      expectClose([fit.scale], [family === 'exponential' ? 1 : Math.exp(-0.9)], 1e-3);
    }
  });

  test('that is flat gives the maximum likelihood fit', () => {
    const flat = { means: [0, 0, 0], sds: [Infinity, Infinity, Infinity], logScaleMean: 0, logScaleSd: Infinity };
    for (const family of FAMILIES) {
      const plain = fitTo(ovarian, family);
      const withFlat = fitTo(ovarian, family, flat);
      expectClose(withFlat.coefficients, plain.coefficients, 1e-8);
      expectClose(withFlat.covariance ?? [], plain.covariance ?? [1], 1e-7);
    }
  });

  test('and the unit of a covariate move together', () => {
    const moved = withColumns(ovarian, { age: column(ovarian, 0).map((x) => x / 10), rx: column(ovarian, 1) });
    const first = fitTo(ovarian, 'weibull', prior);
    const second = fitTo(moved, 'weibull', { ...prior, sds: [1, 0.5, 0.3] });
    expectClose(
      second.coefficients,
      first.coefficients.map((b, j) => (j === 1 ? 10 * b : b)),
    );
    expectClose([second.logLikelihood], [first.logLikelihood]);
  });

  test('of the wrong length or width is refused', () => {
    expect(() => fitTo(ovarian, 'weibull', { ...prior, means: [7] })).toThrow(/expected 3: \(Intercept\), age, rx/);
    expect(() => fitTo(ovarian, 'weibull', { ...prior, sds: [1, 0, 1] })).toThrow(/of age is 0; expected above 0/);
  });
});

/** Every number of a fit is finite, or the whole is null. */
function expectHonest(fit: AftFit): void {
  expect([...fit.coefficients, fit.scale, fit.logLikelihood].every(Number.isFinite)).toBe(true);
  expect(fit.covariance === null || fit.covariance.every(Number.isFinite)).toBe(true);
  expect(fit.scale).toBeGreaterThan(0);
  if (fit.converged) expect(fit.covariance).not.toBeNull();
  if (fit.status !== 'ok') expect(fit.warnings.length).toBeGreaterThan(0);
  for (const warning of fit.warnings) expect(warning).toMatch(/^[^.]*(\.\d[^.]*)*\.$/);
}

type Row = readonly [number, number, number | null, number];
const classed = (rows: readonly Row[], late: readonly number[]): AftData => withColumns(dataOf(rows), { late });

describe('small and awkward data: a status, a remedy and finite numbers', () => {
  const mixed: readonly Row[] = [
    [0, 3, 5, 1],
    [0, 4, 8, 1],
    [0, 6, 7, 1],
    [0, 9, null, 1],
    [0, 7, null, 1],
    [0, 8, 11, 1],
  ];
  const cases: readonly [string, AftData, FitStatus, boolean][] = [
    ['nothing failed', dataOf([[0, 5, null, 10]]), 'no-events', false],
    ['one row', dataOf([[0, 3, 5, 1]]), 'shape-at-boundary', false],
    ['one exact failure', dataOf([[0, 5, 5, 1]]), 'shape-at-boundary', false],
    [
      'all failed when first seen',
      dataOf([
        [0, 0, 5, 4],
        [0, 0, 8, 3],
      ]),
      'separated',
      false,
    ],
    ['one class without failures', classed([...mixed, [0, 9, null, 5]], [0, 0, 0, 0, 0, 0, 1]), 'separated', false],
    ['few failures', dataOf(mixed), 'weak', true],
    ['a constant covariate', classed(mixed, [2, 2, 2, 2, 2, 2]), 'weak', true],
    [
      'every life of the same length',
      dataOf([
        [0, 5, 5.01, 50],
        [0, 4, null, 10],
      ]),
      'shape-at-boundary',
      false,
    ],
  ];
  for (const [name, data, status, converged] of cases) {
    test(name, () => {
      for (const family of FAMILIES) {
        const fit = fitTo(data, family);
        expectHonest(fit);
        if (family === 'weibull') expect(fit).toMatchObject({ status, converged });
        const withPrior = fitTo(data, family, weakPrior(data));
        expectHonest(withPrior);
      }
    });
  }

  test('collinear columns: the later is dropped by name and keeps a 0, and its covariance', () => {
    const age = column(ovarian, 0);
    const rx = column(ovarian, 1);
    const fit = fitTo(withColumns(ovarian, { age, double: age.map((v) => 2 * v + 1), rx }));
    const without = fitTo(ovarian);
    expectClose(fit.coefficients, [...without.coefficients.subarray(0, 2), 0, without.coefficients[2]]);
    expect(fit.droppedNames).toEqual(['double']);
    expect(fit.names).toEqual(['(Intercept)', 'age', 'double', 'rx']);
    expect(fit.covariance?.[2 * 5 + 2]).toBe(0);
    expect(fit.warnings.join(' ')).toMatch(/double is left out/);
    expectHonest(fit);
  });

  test('separation by a class is cured by a prior on its effect', () => {
    const data = classed([...mixed, [0, 9, null, 5]], [0, 0, 0, 0, 0, 0, 1]);
    const fit = fitTo(data, 'weibull', weakPrior(data));
    expect(fit).toMatchObject({ converged: true, status: 'weak' });
    expect(fit.coefficients[1]).toBeGreaterThan(0);
  });

  test('random small data never give NaN, a silent failure or a warning without a remedy', () => {
    const age = fc.integer({ min: 0, max: 15 });
    const row = fc.tuple(age, age, age, fc.boolean(), fc.boolean()).map(([a, b, c, late, sound]): Row => {
      const [entry, lower, upper] = [a, b, c].sort((p, q) => p - q);
      return [late ? entry : 0, lower, sound || upper === 0 ? null : upper, 1];
    });
    const anyRows = fc.array(fc.tuple(row, fc.constantFrom(0, 1), fc.integer({ min: -3, max: 3 })), {
      minLength: 1,
      maxLength: 12,
    });
    fc.assert(
      fc.property(anyRows, fc.constantFrom(...FAMILIES), (rows, family) => {
        const data = withColumns(dataOf(rows.map((r) => r[0])), {
          switch: rows.map((r) => r[1]),
          width: rows.map((r) => r[2]),
        });
        expectHonest(fitTo(data, family));
        const prior: AftPrior = { means: [2, 0, 0], sds: [0.5, 0.35, 0.2], logScaleMean: -0.9, logScaleSd: 0.4 };
        const fit = fitTo(data, family, prior);
        expectHonest(fit);
        expect(fit.converged).toBe(true);
      }),
      { seed: 1, numRuns: 400 },
    );
  });
});

test('rows that no likelihood has a meaning for are refused by row and field', () => {
  const refused = (rows: readonly Row[]) => () => fitTo(dataOf(rows));
  expect(
    refused([
      [0, 1, 2, 1],
      [0, 5, 3, 1],
    ]),
  ).toThrow('Row 2 of the fit, upper is 3; expected an age above 0, at least the lower age 5');
  expect(refused([[4, 3, 5, 1]])).toThrow('lower is 3; expected a finite age, at least the entry age 4');
  expect(refused([[0, 1, 2, 0]])).toThrow('weight is 0');
  expect(refused([[0, Number.NaN, 2, 1]])).toThrow('lower is NaN');
  expect(refused([[0, 0, 0, 1]])).toThrow('upper is 0');
  expect(refused([])).toThrow('no rows');
  expect(() => fitTo(classed([[0, 1, 2, 1]], [Number.NaN]))).toThrow('Row 1 of the fit, late is NaN');
  expect(() => fitTo({ ...dataOf([[0, 1, 2, 1]]), names: ['x'] })).toThrow(
    'covariates has 0 values; expected 1 rows x 1',
  );
});
