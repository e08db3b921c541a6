import { describe, expect, test } from 'vitest';
import { type ConditionData, readingModel } from '../../../../analytics/condition/condition.ts';
import { fitCondition } from '../../../../analytics/condition/fit-condition.ts';
import { prepareReadings } from '../../../../analytics/condition/prepared-readings.ts';
import { ageInformation, conditionInformation } from '../../../../analytics/condition/row-information.ts';
import { SealScore } from '../../../../analytics/condition/seal-score.ts';
import { effectOfRows, scaledAges } from '../../../../analytics/pooling/scaled-ages.ts';
import { FAMILIES } from '../../../../server/schemas/words.ts';
import { simulate } from './simulate.ts';

const { data } = simulate({ seed: 5, seals: 240 });
const reading = readingModel(0.1);
const fit = fitCondition(data, { family: 'weibull', prior: null, reading });
const STEP = 1e-4;
const predictor = (i: number): number =>
  [1, data.covariates[i * 2], data.covariates[i * 2 + 1]].reduce((sum, x, j) => sum + x * fit.life.coefficients[j], 0);

/** The rows with every life longer by a factor: the mean log life falls by its log against them. */
const moved = (step: number): ConditionData => scaledAges(data, new Float64Array(data.lower.length).fill(step));

describe('what each row tells of its own mean log life', () => {
  test('is the slope of its probability, by central differences, for every family', () => {
    for (const family of FAMILIES) {
      const at = { family, coefficients: Float64Array.of(2.5, 0.2, -0.1), scale: family === 'exponential' ? 1 : 0.45 };
      const { slope, information } = ageInformation(data, at);
      const [up, down] = [STEP, -STEP].map((step) => ageInformation(moved(step), at).slope);
      for (let i = 0; i < slope.length; i++) {
        // Ages shorter by a factor are a mean log life longer by its log.
        const curvature = (up[i] - down[i]) / (2 * STEP);
        expect(Math.abs(information[i] + curvature)).toBeLessThan(1e-5 * (1 + Math.abs(information[i])));
      }
    }
  });

  test('with shares too: slopes are those of the marginal probability of the readings', () => {
    if (!fit.growth) throw new Error('the shares are not used');
    const { slope, information } = conditionInformation(data, fit);
    const [up, down] = [STEP, -STEP].map((step) => conditionInformation(moved(step), fit).slope);
    const prepared = prepareReadings(data, reading);
    const score = new SealScore(prepared, 'weibull', new Float64Array(data.lower.length).fill(Number.NaN));
    const { exponent, readingSd, inspectorShift } = fit.growth;
    score.turnTo({ sigma: fit.life.scale, exponent, readingSd, shift: inspectorShift });
    for (let i = 0; i < slope.length; i++) {
      const curvature = (up[i] - down[i]) / (2 * STEP);
      expect(Math.abs(information[i] + curvature)).toBeLessThan(2e-4 * (1 + Math.abs(information[i])));
      if (data.entry[i] > 0) continue;
      const mu = predictor(i);
      const value = (shift: number) => score.value(i, mu + shift, Math.log(data.lower[i]), Math.log(data.upper[i]));
      expect(Math.abs(slope[i] - (value(STEP) - value(-STEP)) / (2 * STEP))).toBeLessThan(
        1e-4 * (1 + Math.abs(slope[i])),
      );
    }
  });

  test('at the estimates slopes add up to next to nothing, column by column', () => {
    const { slope, information } = conditionInformation(data, fit);
    for (let j = 0; j < 3; j++) {
      const x = (i: number) => (j === 0 ? 1 : data.covariates[i * 2 + j - 1]);
      const sum = slope.reduce((total, value, i) => total + value * x(i), 0);
      const known = information.reduce((total, value, i) => total + value * x(i) ** 2, 0);
      // Scales that leave room for what is fitted lie a little off the maximum: here a thousandth of a standard error.
      expect(Math.abs(sum)).toBeLessThan(1e-3 * Math.sqrt(known));
    }
  });

  test('one row in so many is asked where a part will do', () => {
    const all = ageInformation(data, fit.life);
    const some = ageInformation(data, fit.life, 3);
    const asked = [...some.information.keys()].filter((i) => some.information[i] !== 0);
    expect(asked.length).toBeGreaterThan(50);
    expect(asked.length).toBeLessThan(110);
    for (const i of asked) expect(some.slope[i]).toBe(all.slope[i]);
  });
});

describe('rows in units of an effect', () => {
  test('that is the same for all: the intercept alone is less by it', () => {
    const shifted = fitCondition(moved(0.3), { family: 'weibull', prior: null, reading });
    expect(shifted.life.coefficients[0]).toBeCloseTo(fit.life.coefficients[0] - 0.3, 4);
    expect(shifted.life.coefficients[1]).toBeCloseTo(fit.life.coefficients[1], 4);
    expect(shifted.life.scale).toBeCloseTo(fit.life.scale, 4);
    expect(shifted.growth?.exponent).toBeCloseTo(fit.growth?.exponent ?? 0, 3);
  });

  test('effects of several groupings add up, and a row of no known level has none', () => {
    const groupings = [
      { name: 'district', levels: ['A', 'B'], index: Int32Array.of(0, 1, 1) },
      { name: 'lot', levels: ['x'], index: Int32Array.of(0, -1, 0) },
    ];
    const effects = Float64Array.of(0.1, 0.2, 0.05);
    const sums = effectOfRows(3, groupings, { levelStart: Int32Array.of(0, 2, 3) }, effects);
    expect([...sums].map((sum) => Number(sum.toFixed(12)))).toEqual([0.15, 0.2, 0.25]);
  });
});
