import { describe, expect, test } from 'vitest';
import { PUBLISHED_PRIORS } from '../../../../analytics/survival/covariate-prior.ts';
import {
  lifePriors,
  PUBLISHED_EFFECTS,
  PUBLISHED_SHAPE,
  priorsKey,
  priorWords,
  publishedClass,
} from '../../../../server/forecasting/life-priors.ts';
import type { Priors } from '../../../../server/schemas/priors.ts';

const NONE: Priors = { classes: {}, effects: null, shape: null };
const hot = { medianYears: 10, rangeFactor: 2, source: ' our survey ' };

describe('what is believed as the fit takes it', () => {
  test('nothing of the agency’s own is exactly what is published', () => {
    expect(lifePriors(null)).toBe(PUBLISHED_PRIORS);
    expect(lifePriors(NONE)).toEqual(PUBLISHED_PRIORS);
  });

  test('a factor of 2 with 95 % is a log SD of log 2 / 1.96, and only that class changes', () => {
    const { classes, effectSd, shapeMedian } = lifePriors({ ...NONE, classes: { 'hot-applied': hot } });
    expect(classes['hot-applied'].medianYears).toBe(10);
    expect(classes['hot-applied'].logSd).toBeCloseTo(Math.log(2) / 1.96, 4);
    expect(classes.polysulfide).toBe(PUBLISHED_PRIORS.classes.polysulfide);
    expect([effectSd, shapeMedian]).toEqual([PUBLISHED_PRIORS.effectSd, PUBLISHED_PRIORS.shapeMedian]);
  });

  test('a source is kept without its blanks, and an empty one is said to be missing', () => {
    const sourceOf = (source: string) =>
      lifePriors({ ...NONE, classes: { 'hot-applied': { ...hot, source } } }).classes['hot-applied'].source;
    expect(sourceOf(' our survey ')).toBe('our survey');
    expect(sourceOf('  ')).toMatch(/no source/);
  });

  test('published factors are those of the log SDs: 0.5 is 2.66, 0.35 is 1.99, 0.4 is 2.19', () => {
    // exp(1.96 x SD) with 95 % of a normal distribution within 1.96 SDs; by hand.
    expect(publishedClass('hot-applied').rangeFactor).toBe(2.66);
    expect(PUBLISHED_EFFECTS.rangeFactor).toBe(1.99);
    expect(PUBLISHED_SHAPE.rangeFactor).toBe(2.19);
  });
});

test('equal beliefs have equal keys, whatever the order and the words', () => {
  const other = { medianYears: 5, rangeFactor: 3, source: '' };
  const one: Priors = { ...NONE, classes: { 'hot-applied': hot, polysulfide: other } };
  const two: Priors = { ...NONE, classes: { polysulfide: other, 'hot-applied': { ...hot, source: 'elsewhere' } } };
  expect(priorsKey(one)).toBe(priorsKey(two));
  expect(priorsKey(null)).toBe(priorsKey(NONE));
  expect(priorsKey(one)).not.toBe(priorsKey({ ...one, effects: { rangeFactor: 1.5, source: '' } }));
});

test('the report says in words what was believed', () => {
  expect(priorWords(null)).toBe(
    'weakly informative: published class medians, shape 1.1 to 5.5, effects 0.5 to 2.0 times (95 %)',
  );
  expect(priorWords({ ...NONE, classes: { 'hot-applied': hot } })).toContain("the agency's own for 1 class, else");
});
