import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type ConditionDraws, type GrowthDraws, readingModel } from '../../../../analytics/condition/condition.ts';
import { conditionCurve } from '../../../../analytics/condition/condition-curve.ts';
import { ConditionFirstFailures } from '../../../../analytics/condition/condition-first-failures.ts';
import { type ConditionKnowledge, forecastCondition } from '../../../../analytics/condition/forecast-condition.ts';
import { GridLookUps, survivalAtLogAge, survivalInto } from '../../../../analytics/condition/survival-on-grid.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';

const OPTIONS = { yearLeft: 0.5, horizonYears: 20 };
const DRAWS = 40;

/** Draws near one median life, which all segments share but for a covariate of their own. */
function someDraws(): ConditionDraws & { readonly growth: GrowthDraws } {
  const { normal } = seededRandom(5);
  const each = (centre: number, sd: number) => Float64Array.from({ length: DRAWS }, () => centre + sd * normal());
  const median = each(2.4, 0.1);
  const slope = each(-0.2, 0.05);
  return {
    draws: DRAWS,
    coefficients: Float64Array.from({ length: 2 * DRAWS }, (_, at) => (at % 2 === 0 ? median : slope)[at >> 1]),
    scale: each(0.4, 0.03),
    effectiveSampleSize: DRAWS,
    paretoK: 0.1,
    growth: {
      exponent: each(2.3, 0.1),
      readingSd: each(0.3, 0.02),
      inspectors: 2,
      inspectorShift: Float64Array.from({ length: 2 * DRAWS }, (_, at) => (at % 2 === 0 ? 0.1 : -0.1)),
    },
    reading: readingModel(0.1),
  };
}

/** Segments with two readings, one, none at all, a full one, and one known to have failed. */
const KNOWN: ConditionKnowledge = {
  count: 5,
  covariates: Float64Array.of(1, 0, 1, 1, 1, -1, 1, 0.5, 1, 0),
  soundAgeYears: Float64Array.of(6, 5, 4, 7, 3),
  planningAgeYears: Float64Array.of(8, 6, 5, 7.5, 6),
  foundFailedAgeYears: Float64Array.of(Number.NaN, Number.NaN, Number.NaN, Number.NaN, 5),
  readingStart: Int32Array.of(0, 2, 3, 3, 5, 6),
  readingAge: Float64Array.of(3, 6, 5, 4, 7, 5),
  readingShare: Float64Array.of(0.01, 0.05, 0.02, 0, 0.09, 0.3),
  readingInspector: Int32Array.of(0, 1, -1, 0, 1, 0),
};

test('first failures average to the forecast of each year end and of now', () => {
  const draws = someDraws();
  const first = new ConditionFirstFailures(KNOWN, draws, 'weibull', OPTIONS);
  const { failedByYearEnd, failedNow, yearEnds } = forecastCondition(KNOWN, draws, 'weibull', OPTIONS);
  for (let i = 0; i < 4; i++) {
    const mean = new Float64Array(yearEnds);
    first.eachDraw(i, (_d, _eta, failed, share, at) => {
      for (let y = 0; y < yearEnds; y++) mean[y] += (failed[at + y] * share) / DRAWS;
    });
    for (let y = 0; y < yearEnds; y++) expect(Math.abs(mean[y] - failedByYearEnd[i * yearEnds + y])).toBeLessThan(1e-6);
    const now = first.failedNowOf(i).reduce((sum, chance) => sum + chance / DRAWS, 0);
    expect(Math.abs(now - failedNow[i])).toBeLessThan(1e-6);
  }
});

test('forecasts made on the way are those made alone, bit for bit, whatever was gone through', () => {
  const draws = someDraws();
  const alone = forecastCondition(KNOWN, draws, 'weibull', OPTIONS);
  const first = new ConditionFirstFailures(KNOWN, draws, 'weibull', OPTIONS);
  for (const i of [3, 0, 2]) first.eachDraw(i, () => undefined);
  expect([...first.before.made]).toEqual([1, 0, 0, 1, 0]);
  expect(forecastCondition(KNOWN, draws, 'weibull', OPTIONS, undefined, first.before)).toEqual(alone);
});

test("one seal's curve passes through its forecast, inside its band", () => {
  const draws = someDraws();
  const { failedByYearEnd, failedNow, yearEnds } = forecastCondition(KNOWN, draws, 'weibull', OPTIONS);
  const ages = Float64Array.of(8, ...Array.from({ length: yearEnds }, (_, y) => 8.5 + y));
  const readings = {
    readingStart: Int32Array.of(0, 2),
    readingAge: KNOWN.readingAge.slice(0, 2),
    readingShare: KNOWN.readingShare.slice(0, 2),
    readingInspector: KNOWN.readingInspector.slice(0, 2),
  };
  const input = { row: [1, 0], soundAgeYears: 6, agesYears: ages, readings };
  const { survival, lower, upper } = conditionCurve(input, draws, 'weibull');
  expect(survival[0]).toBeCloseTo(1 - failedNow[0], 12);
  for (let y = 0; y < yearEnds; y++) expect(survival[y + 1]).toBeCloseTo(1 - failedByYearEnd[y], 12);
  ages.forEach((_, j) => {
    expect(lower[j]).toBeLessThanOrEqual(survival[j] + 1e-9);
    expect(upper[j]).toBeGreaterThanOrEqual(lower[j]);
  });
  expect(() => conditionCurve({ ...input, row: [1] }, draws, 'weibull')).toThrow(/expected 2/);
});

test('look-ups set once agree with those worked out each time, also off the grid', () => {
  const grid = { low: 1, step: 0.25, points: 9 };
  const density = Float64Array.from({ length: 9 }, (_, j) => Math.exp(-((j - 4) ** 2) / 6));
  const total = density.reduce((sum, value) => sum + value * grid.step, 0);
  for (let j = 0; j < 9; j++) density[j] /= total;
  const survival = new Float64Array(9);
  survivalInto(survival, density, grid);
  const lookUps = new GridLookUps(1);
  const out = new Float64Array(1);
  fc.assert(
    fc.property(fc.double({ min: -1, max: 5, noNaN: true }), (y) => {
      lookUps.place(0, y, grid);
      lookUps.failedInto(out, survival, density);
      expect(out[0]).toBeCloseTo(1 - survivalAtLogAge(y, survival, density, grid), 12);
    }),
    { seed: 1 },
  );
});
