import { describe, expect, test } from 'vitest';
import { entryAgeCheck } from '../../../../analytics/diagnostics/entry-age.ts';
import { classKnowledge } from '../../../../analytics/diagnostics/prior-posterior.ts';
import { profileShape } from '../../../../analytics/diagnostics/profile-shape.ts';
import type { AftData, AftPrior } from '../../../../analytics/survival/aft.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { posteriorDraws } from '../../../../analytics/survival/posterior.ts';
import { weibullRows } from './weibull-rows.ts';

const weak: AftPrior = { means: [Math.log(12), 0], sds: [1, 0.35], logScaleMean: -Math.log(2.5), logScaleSd: 0.4 };
const data = weibullRows({ rows: 800, seed: 41 });

describe('profile likelihood of the shape', () => {
  test('its top is the maximum likelihood estimate and its interval that of the standard error', () => {
    const fit = fitAft(data, { family: 'weibull', prior: null });
    const profile = profileShape(data, fit, null);
    const error = Math.sqrt(fit.covariance?.at(-1) ?? 0);
    expect(profile?.best).toBeCloseTo(1 / fit.scale, 3);
    // With 500 failures the profile is nearly a parabola, and the 80 % interval 1.2816 standard errors of log shape.
    expect(Math.log(profile?.upper ?? 1) + Math.log(fit.scale)).toBeCloseTo(1.2816 * error, 2);
    expect(-Math.log(profile?.lower ?? 1) - Math.log(fit.scale)).toBeCloseTo(1.2816 * error, 2);
    expect(profile?.prior).toBeNull();
    expect(profile?.dataShare).toBe(1);
  });

  test('with many failures the data speak, with none the prior does', () => {
    const many = profileShape(data, fitAft(data, { family: 'weibull', prior: weak }), weak);
    expect(many?.dataShare).toBeGreaterThan(0.95);
    expect(many?.prior?.median).toBeCloseTo(2.5, 9);
    const sound = { ...data, upper: data.upper.map(() => Infinity) };
    const used: AftData = { ...sound, lower: sound.lower.map((age, i) => Math.max(age, sound.entry[i] + 1)) };
    const none = profileShape(used, fitAft(used, { family: 'weibull', prior: weak }), weak);
    expect(none?.dataShare).toBeLessThan(0.3);
  });

  test('points rise in shape, lie at or below their top and are finite', () => {
    const points = profileShape(data, fitAft(data, { family: 'weibull', prior: weak }), weak)?.points ?? [];
    expect(points.length).toBeGreaterThan(15);
    points.forEach(({ shape, logLikelihood, logPrior, logPosterior }, i) => {
      if (i > 0) expect(shape).toBeGreaterThan(points[i - 1].shape);
      expect(logLikelihood).toBeLessThanOrEqual(0);
      expect(logPosterior).toBeLessThanOrEqual(0);
      expect(Number.isFinite(logPrior ?? Number.NaN)).toBe(true);
    });
  });

  test('an exponential has no shape to profile', () => {
    expect(profileShape(data, fitAft(data, { family: 'exponential', prior: null }), null)).toBeNull();
  });
});

describe('what records and prior say of each class', () => {
  const lives = Float64Array.of(4, 6, 8, 10, 12, 5);
  const classes: AftData = {
    entry: Float64Array.of(0, 0, 2, 0, 0, 0),
    lower: lives,
    upper: Float64Array.of(6, 8, 10, Infinity, 14, Infinity),
    weight: new Float64Array(6).fill(1),
    covariates: Float64Array.from([1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 0, 1]),
    names: ['class:a', 'class:b'],
    intercept: false,
  };
  const prior: AftPrior = {
    means: [Math.log(9) - Math.log(Math.LN2) / 2.5, Math.log(9) - Math.log(Math.LN2) / 2.5],
    sds: [0.5, 0.5],
    logScaleMean: -Math.log(2.5),
    logScaleSd: 0.4,
  };
  const fit = fitAft(classes, { family: 'weibull', prior });
  const draws = posteriorDraws(classes, fit, prior, { draws: 400, seed: 1 });
  const [a, b] = classKnowledge({ data: classes, family: 'weibull', prior, draws, classes: ['a', 'b'] });

  test('counts by hand', () => {
    expect([a.seals, a.failures, a.exposureYears]).toEqual([5, 4, 38]);
    expect([b.seals, b.failures, b.exposureYears]).toEqual([1, 0, 5]);
  });

  test('the prior life is the one that was put in, with its 80 % interval', () => {
    expect(a.priorLife.median).toBeCloseTo(9, 9);
    expect(a.priorLife.upper).toBeCloseTo(9 * Math.exp(1.2816 * 0.5), 2);
  });

  test('four failures narrow the life more than none', () => {
    expect(a.dataShare).toBeGreaterThan(b.dataShare);
    expect(a.posteriorLife.upper / a.posteriorLife.lower).toBeLessThan(b.posteriorLife.upper / b.posteriorLife.lower);
    expect(a.priorWorthFailures).toBeGreaterThan(0.2);
    expect(a.priorWorthFailures).toBeLessThan(2);
  });

  test('rows with an intercept are refused', () => {
    expect(() => classKnowledge({ data, family: 'weibull', prior, draws, classes: ['a', 'b'] })).toThrow(RangeError);
  });
});

describe('entry-age check', () => {
  const check = (lateTimes: number) => {
    const rows = weibullRows({ rows: 3000, seed: 43, lateTimes });
    return entryAgeCheck(rows, fitAft(rows, { family: 'weibull', prior: null }), null);
  };

  test('no drift where late entrants are like the others', () => {
    const found = check(1);
    expect(found.entryYears).toBe(0);
    expect(found.youngRows + found.oldRows).toBe(3000);
    expect(found.lifeRatio).toBeCloseTo(1, 1);
    expect(found.drift).toBe(false);
  });

  test('late entrants that live longer show as a ratio below 1', () => {
    const { lifeRatio, upper, drift } = check(1.5);
    expect(drift).toBe(true);
    expect(upper).toBeLessThan(1);
    expect(lifeRatio).toBeGreaterThan(0.7);
  });

  test('one entry age, or few failures, gives a sentence and no ratio', () => {
    const rows = weibullRows({ rows: 200, seed: 44 });
    const fit = fitAft(rows, { family: 'weibull', prior: null });
    const same = entryAgeCheck({ ...rows, entry: new Float64Array(200) }, fit, null);
    expect(same).toMatchObject({ lifeRatio: null, drift: false });
    expect(same.note).toContain('same age');
    const sound = { ...rows, upper: rows.upper.map((age, i) => (rows.entry[i] === 0 ? Infinity : age)) };
    expect(entryAgeCheck(sound, fit, null).note).toContain('Only 0 failures');
  });
});
