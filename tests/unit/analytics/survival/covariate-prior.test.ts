import { describe, expect, test } from 'vitest';
import {
  aftPrior,
  CLASS_PRIORS,
  classPrior,
  priorWorthFailures,
} from '../../../../analytics/survival/covariate-prior.ts';
import { learnDesign } from '../../../../analytics/survival/covariate-rows.ts';

const design = { classes: ['preformed-compression', 'unknown'], columns: learnDesign([]).columns };

describe('class priors', () => {
  test('a Weibull of shape 2.5 put at the prior mean has the prior median', () => {
    const prior = aftPrior('weibull', design);
    const characteristicLife = Math.exp(prior.means[0]);
    // Half have failed where (t / scale)^2.5 = log 2.
    expect(characteristicLife * Math.LN2 ** (1 / 2.5)).toBeCloseTo(17, 10);
    // To three digits, mu = log median + 0.367 / shape.
    expect(prior.means[0] - Math.log(17)).toBeCloseTo(0.367 / 2.5, 3);
    expect(prior.logScaleMean).toBeCloseTo(-Math.log(2.5), 12);
    expect(prior.sds).toEqual([0.5, 0.7]);
  });

  test('the median of symmetric families is exp(mu), of the exponential scale x log 2', () => {
    expect(Math.exp(aftPrior('lognormal', design).means[0])).toBeCloseTo(17, 10);
    expect(Math.exp(aftPrior('loglogistic', design).means[0])).toBeCloseTo(17, 10);
    expect(Math.exp(aftPrior('exponential', design).means[0]) * Math.LN2).toBeCloseTo(17, 10);
  });

  test('a prior of log SD 0.5 at shape 2.5 is worth 0.64 of a failure', () => {
    expect(priorWorthFailures(CLASS_PRIORS['hot-applied'])).toBeCloseTo(0.64, 12);
  });

  test('every default names a source, and a class that no list knows is as wide as unknown', () => {
    for (const prior of Object.values(CLASS_PRIORS)) expect(prior.source.length).toBeGreaterThan(10);
    expect(classPrior('putty')).toBe(CLASS_PRIORS.unknown);
    expect(classPrior('polysulfide', { polysulfide: { medianYears: 3, logSd: 0.2, source: 'ours' } }).medianYears).toBe(
      3,
    );
  });
});
