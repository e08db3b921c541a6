import { describe, expect, test } from 'vitest';
import type { AftData } from '../../../../analytics/survival/aft.ts';
import { lifeQuantile } from '../../../../analytics/survival/delta-method.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { compareModels } from '../../../../analytics/survival/model-comparison.ts';
import { weakPrior } from '../../../../analytics/survival/weak-prior.ts';
import { aftCases, caseData, dataOf } from '../../../reference/survival/read.ts';

const lives = (failed: readonly number[], sound: readonly number[]): AftData =>
  dataOf([...failed.map((age) => [0, age, age, 1] as const), ...sound.map((age) => [0, age, null, 1] as const)]);
const caseNamed = (name: string): AftData => caseData(aftCases.find((one) => one.name === name) ?? aftCases[0]);

describe('NIST/SEMATECH e-Handbook 8.4.1.3: ten failures and ten withdrawals', () => {
  // https://www.itl.nist.gov/div898/handbook/apr/section4/apr413.htm: AIC 154.27 (Weibull), 154.39 (log-normal).
  const data = lives([54, 187, 216, 240, 244, 335, 361, 373, 375, 386], new Array<number>(10).fill(500));
  const comparison = compareModels(data, { unit: 'hours' });
  const of = (family: string) => {
    const found = comparison.models.find((model) => model.family === family);
    if (!found) throw new Error(`no ${family}`);
    return found;
  };

  test('AIC, and AICc and BIC with the ten failures as n', () => {
    expect(of('weibull').aic?.toFixed(2)).toBe('154.27');
    expect(of('lognormal').aic?.toFixed(2)).toBe('154.39');
    expect(of('exponential').aic?.toFixed(2)).toBe('155.11'); // 2 + 2 x 76.5557
    // By hand: 154.2692 + 2 x 2 x 3 / (10 - 2 - 1), and 2 log 10 + 2 x 75.1346.
    expect(of('weibull').aicc?.toFixed(3)).toBe((154.26924 + 12 / 7).toFixed(3));
    expect(of('weibull').bic?.toFixed(3)).toBe((2 * Math.log(10) + 2 * 75.134618).toFixed(3));
    expect(comparison.failures).toBe(10);
    expect(of('generalised-gamma').parameters).toBe(3);
  });

  test('median and ten per cent life: 490.174 and 164.022 (recomputed from the page)', () => {
    expect(of('weibull').median?.estimate.toFixed(3)).toBe('490.174');
    expect(of('weibull').tenPercentLife?.estimate.toFixed(3)).toBe('164.022');
    expect(of('weibull').sentence).toMatch(
      /^Weibull: half of such seals fail by 490 hours \(90 % interval \d+ to \d+\) and a tenth by 164 hours \(90 % interval [\d.]+ to \d+\)\.$/,
    );
  });

  test('nested families: exponential against Weibull is 2 (76.5557 - 75.1346) = 2.842, p = 0.092', () => {
    const test2 = comparison.nested.find(({ simpler, fuller }) => simpler === 'exponential' && fuller === 'weibull');
    expect(test2?.statistic.toFixed(3)).toBe('2.842');
    // Chi-square of 2.842 with one degree of freedom; tables give 2.706 for 0.10 and 3.841 for 0.05.
    expect(test2?.chance.toFixed(3)).toBe('0.092');
    expect(test2?.sentence).toBe(
      'The Weibull fits no better than the exponential than chance would make it (likelihood ratio 2.84, 1 degree of freedom, p = 0.092); the simpler one is enough.',
    );
    expect(comparison.nested).toHaveLength(4);
    for (const { statistic, chance } of comparison.nested) {
      expect(statistic).toBeGreaterThanOrEqual(0);
      expect(chance).toBeLessThanOrEqual(1);
    }
  });

  test('weights add up to one and the sentence owns up to ties', () => {
    expect(comparison.models.reduce((sum, { weight }) => sum + (weight ?? 0), 0)).toBeCloseTo(1, 12);
    const differences = comparison.models.map(({ aicDifference }) => aicDifference ?? -1);
    expect(Math.min(...differences)).toBe(0);
    expect(comparison.sentence).toMatch(/has the least AIC, but the records cannot tell it from the .* hours/);
  });
});

test('chi-square tails as tabled: 3.841 is 0.05 with one degree of freedom', () => {
  // Where the log-normal and Weibull differ much, the referee says so.
  const { nested } = compareModels(caseNamed('lung'));
  const lognormal = nested.find(({ simpler }) => simpler === 'lognormal');
  expect(lognormal?.statistic ?? 0).toBeGreaterThan(10);
  expect(lognormal?.chance ?? 1).toBeLessThan(0.001);
  expect(lognormal?.sentence).toMatch(/fits better than the log-normal beyond chance \(.*p below 0\.001\)\.$/);
});

test('lives are those of the average seal unless another is asked for', () => {
  const data = caseNamed('lung');
  const row = [60, 2, 1];
  const weibull = fitAft(data, { family: 'weibull', prior: null });
  const asked = compareModels(data, { families: ['weibull'], covariates: row, level: 0.8 });
  expect(asked.models[0].median).toEqual(lifeQuantile(weibull, row, { p: 0.5, level: 0.8 }));
  const mean = [0, 1, 2].map((j) => {
    let sum = 0;
    for (let i = 0; i < data.lower.length; i++) sum += data.covariates[3 * i + j];
    return sum / data.lower.length;
  });
  const average = compareModels(data, { families: ['weibull'] }).models[0].median?.estimate ?? 0;
  expect(Math.abs(average / lifeQuantile(weibull, mean, { p: 0.5 }).estimate - 1)).toBeLessThan(1e-10);
});

test('families without a fit are named, not ranked, and a prior can mend them', () => {
  const sound = dataOf([[0, 5, null, 10]]);
  const none = compareModels(sound);
  expect(none).toMatchObject({ best: null, nested: [] });
  expect(none.sentence).toBe('No family has a fit; use a prior, or wait for more failures.');
  for (const model of none.models) {
    expect(model).toMatchObject({ aic: null, bic: null, median: null, weight: null });
    expect(model.sentence).toMatch(/: no fit\. No failure is on record/);
  }
  const ovarian = caseNamed('ovarian');
  const some = compareModels(ovarian);
  expect(some.sentence).toMatch(/No fit was found for: generalised gamma\.$/);
  expect(some.best).not.toBeNull();
  const held = compareModels(ovarian, { prior: () => weakPrior(ovarian) });
  expect(held.models.filter(({ aic }) => aic !== null).length).toBeGreaterThanOrEqual(4);
});

test('an AICc that has too few failures is left out', () => {
  const few = compareModels(
    dataOf([
      [0, 3, 5, 1],
      [0, 4, 8, 1],
      [0, 6, 7, 1],
      [0, 9, null, 4],
    ]),
    { families: ['weibull', 'exponential'] },
  );
  expect(few.models[0].aicc).toBeNull(); // 3 failures, 2 parameters
  expect(few.models[1].aicc).not.toBeNull();
});
