import { expect, test } from 'vitest';
import { newLives } from '../../../../analytics/forecast/new-lives.ts';
import { demandRatio, MOVEMENT_CAPABILITY } from '../../../../analytics/joint/movement-demand.ts';
import { classPrior } from '../../../../analytics/survival/covariate-prior.ts';
import type { StoredModel } from '../../../../server/forecasting/stored-model.ts';
import { withClasses } from '../../../../server/programs/class-lives.ts';

const DRAWS = 400;
/** One class, no covariates; life 12 years give or take, shape 2. */
const model: StoredModel = {
  family: 'weibull',
  design: { classes: ['polysulfide'], columns: [], names: ['class:polysulfide'], dropped: [] },
  draws: {
    draws: DRAWS,
    coefficients: Float64Array.from({ length: DRAWS }, (_, d) => Math.log(12) + 0.1 * ((d % 5) - 2)),
    scale: new Float64Array(DRAWS).fill(0.5),
    effectiveSampleSize: DRAWS,
    paretoK: 0,
  },
  damageRule: { exponent: 1, spread: 0.3 } as unknown as StoredModel['damageRule'],
  condition: null,
};

test('classes that the model knows keep their lives, whatever is added', () => {
  const { draws } = withClasses(model, ['polysulfide', 'preformed-compression', 'silicone-non-sag']);
  const alone = newLives(Float64Array.of(1), model.draws, 'weibull');
  const beside = newLives(Float64Array.of(1, 0, 0), draws, 'weibull');
  expect(beside.failedByAge).toEqual(alone.failedByAge);
});

test('a class without records lives as published: half fail by the median of its prior', () => {
  const { draws } = withClasses(model, ['preformed-compression']);
  const { failedByAge } = newLives(Float64Array.of(0, 1), draws, 'weibull', 200);
  const { medianYears, logSd } = classPrior('preformed-compression');
  // The median over so many draws is off by some 1.25 / sqrt(400) of the spread of log life: 6 % of a log SD about 0.8.
  const median = failedByAge.findIndex((failed) => failed >= 0.5);
  const tolerance = 3 * ((1.25 * Math.hypot(logSd, 0.6)) / Math.sqrt(DRAWS));
  expect(Math.abs(Math.log(median / medianYears))).toBeLessThan(tolerance + 1 / medianYears);
});

test('the demand on another class follows from the capabilities of both', () => {
  const [from, to] = ['hot-applied', 'silicone-non-sag'].map((each) => MOVEMENT_CAPABILITY[each].extensionShare);
  // 17.5 % against 100 %: the same opening is a sixth of the share.
  expect(demandRatio('hot-applied', 'silicone-non-sag')).toBe(from / to);
  expect(demandRatio('hot-applied', 'silicone-non-sag')).toBeCloseTo(0.175, 12);
});
