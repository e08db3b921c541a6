import fc from 'fast-check';
import { expect, test } from 'vitest';
import { conditionCurve } from '../../../../analytics/condition/condition-curve.ts';
import { ConditionFirstFailures } from '../../../../analytics/condition/condition-first-failures.ts';
import { forecastCondition } from '../../../../analytics/condition/forecast-condition.ts';
import { GridLookUps, survivalAtLogAge, survivalInto } from '../../../../analytics/condition/survival-on-grid.ts';
import { DRAWS, KNOWN, someDraws } from './known-segments.ts';

const OPTIONS = { yearLeft: 0.5, horizonYears: 20 };

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
