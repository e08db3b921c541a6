import { describe, expect, test } from 'vitest';
import { chooseLink } from '../../../../analytics/condition/choose-link.ts';
import { type ConditionData, readingModel } from '../../../../analytics/condition/condition.ts';
import { fitCondition } from '../../../../analytics/condition/fit-condition.ts';
import { learnReading } from '../../../../analytics/condition/learn-reading.ts';
import { prepareReadings, recordingStep } from '../../../../analytics/condition/prepared-readings.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { recover } from './recovery.ts';
import { simulate, TRUTH, withoutReadings } from './simulate.ts';

const options = { family: 'weibull' as const, prior: null, reading: readingModel(TRUTH.threshold) };

/** Estimates with their standard errors: coefficients, log sigma, log m, log tau, then the shifts. */
function estimates(data: ConditionData, of = options) {
  const fit = fitCondition(data, of);
  const { growth, covariance, life } = fit;
  if (!growth || !covariance) throw new Error(fit.sentence);
  const values = [
    ...life.coefficients,
    Math.log(life.scale),
    Math.log(growth.exponent),
    Math.log(growth.readingSd),
    ...growth.inspectorShift,
  ];
  const n = values.length;
  expect(covariance.length).toBe(n * n);
  return { fit, growth, values, errors: values.map((_, j) => Math.sqrt(covariance[j * n + j])) };
}

describe('few shares', () => {
  test('leave the threshold fit as it is, and one sentence says why', () => {
    const { data } = simulate({ seed: 1, seals: 300 });
    const bare = withoutReadings(data);
    const fit = fitCondition(bare, options);
    expect(fit.used).toBe(false);
    expect(fit.growth).toBeNull();
    expect(fit.life).toEqual(fitAft(data, options));
    expect(fit.sentence).toMatch(/0 seals have one above the detection limit \(30 are needed\)/);
  });

  test('thirty seals with one share, or nine with two, are too few; thirty with ten are enough', () => {
    const { data } = simulate({ seed: 1, seals: 300 });
    const keep = (withOne: number, withTwo: number) => fitCondition(thinned(data, withOne, withTwo), options);
    expect(keep(29, 29).used).toBe(false);
    expect(keep(40, 9).used).toBe(false);
    expect(keep(30, 10).used).toBe(true);
  });

  test('shares of 0 and 1 alone are not enough, however many', () => {
    const { data } = simulate({ seed: 1, seals: 300 });
    const fit = fitCondition({ ...data, readingShare: data.readingShare.map((s) => (s < 0.1 ? 0 : 1)) }, options);
    expect(fit.used).toBe(false);
    expect(fit.counts).toMatchObject({ sealsWithShare: 0, sealsWithTwoShares: 0 });
    expect(fit.counts.atOrBelowLimit + fit.counts.full).toBe(data.readingAge.length);
  });
});

/** Only the first two measured shares of `withTwo` seals, and the first of others up to `withOne` seals. */
function thinned(data: ConditionData, withOne: number, withTwo: number): ConditionData {
  const kept: number[] = [];
  const readingStart = new Int32Array(data.readingStart.length);
  let seals = 0;
  for (let i = 0; i < data.lower.length; i++) {
    const all = Array.from(
      { length: data.readingStart[i + 1] - data.readingStart[i] },
      (_, k) => data.readingStart[i] + k,
    );
    const measured = all.filter((r) => data.readingShare[r] > 0.005 && data.readingShare[r] < 0.995);
    if (measured.length >= 2 && seals < withOne) kept.push(...measured.slice(0, seals++ < withTwo ? 2 : 1));
    readingStart[i + 1] = kept.length;
  }
  const pick = (from: Float64Array) => Float64Array.from(kept, (r) => from[r]);
  return {
    ...data,
    readingStart,
    readingAge: pick(data.readingAge),
    readingShare: pick(data.readingShare),
    readingInspector: Int32Array.from(kept, (r) => data.readingInspector[r]),
    readingAgeSd: new Float64Array(kept.length),
  };
}

describe('laws', () => {
  const { data } = simulate({ seed: 4, seals: 300, ageErrorYears: 0.3 });
  const base = estimates(data);

  test('months instead of years move the intercept by log 12 and nothing else', () => {
    const months = (ages: Float64Array) => ages.map((age) => 12 * age);
    const other = estimates({
      ...data,
      entry: months(data.entry),
      lower: months(data.lower),
      upper: months(data.upper),
      readingAge: months(data.readingAge),
      readingAgeSd: months(data.readingAgeSd ?? new Float64Array(0)),
    });
    expect(other.values[0] - base.values[0]).toBeCloseTo(Math.log(12), 5);
    for (const [j, value] of other.values.entries()) if (j > 0) expect(value).toBeCloseTo(base.values[j], 5);
  });

  test('the order of rows, and of readings within a row, does not matter', () => {
    const rows = data.lower.length;
    const order = Array.from({ length: rows }, (_, i) => rows - 1 - i);
    const readings = order.flatMap((i) =>
      Array.from(
        { length: data.readingStart[i + 1] - data.readingStart[i] },
        (_, k) => data.readingStart[i + 1] - 1 - k,
      ),
    );
    const start = new Int32Array(rows + 1);
    for (const [k, i] of order.entries()) start[k + 1] = start[k] + data.readingStart[i + 1] - data.readingStart[i];
    const row = (from: Float64Array) => Float64Array.from(order, (i) => from[i]);
    const reading = (from: Float64Array) => Float64Array.from(readings, (r) => from[r]);
    const other = estimates({
      ...data,
      entry: row(data.entry),
      lower: row(data.lower),
      upper: row(data.upper),
      covariates: Float64Array.from(order.flatMap((i) => [data.covariates[2 * i], data.covariates[2 * i + 1]])),
      readingStart: start,
      readingAge: reading(data.readingAge),
      readingShare: reading(data.readingShare),
      readingInspector: Int32Array.from(readings, (r) => data.readingInspector[r]),
      readingAgeSd: reading(data.readingAgeSd ?? new Float64Array(0)),
    });
    for (const [j, value] of other.values.entries()) expect(value).toBeCloseTo(base.values[j], 6);
  });

  test('numbering inspectors otherwise renumbers their shifts and changes nothing else', () => {
    const renumber = [3, 0, 5, 1, 2, 4];
    const other = estimates({ ...data, readingInspector: data.readingInspector.map((k) => renumber[k]) });
    for (let j = 0; j < 6; j++) expect(other.values[j]).toBeCloseTo(base.values[j], 6);
    for (let k = 0; k < 6; k++)
      expect(other.growth.inspectorShift[renumber[k]]).toBeCloseTo(base.growth.inspectorShift[k], 6);
  });

  test('a row of weight two is the row written twice', () => {
    const twice = (from: Float64Array) => Float64Array.from([...from, ...from]);
    const last = data.readingAge.length;
    const written = estimates({
      ...data,
      entry: twice(data.entry),
      lower: twice(data.lower),
      upper: twice(data.upper),
      weight: twice(data.weight),
      covariates: twice(data.covariates),
      readingStart: Int32Array.from([...data.readingStart, ...data.readingStart.slice(1).map((at) => at + last)]),
      readingAge: twice(data.readingAge),
      readingShare: twice(data.readingShare),
      readingInspector: Int32Array.from([...data.readingInspector, ...data.readingInspector]),
      readingAgeSd: twice(data.readingAgeSd ?? new Float64Array(0)),
    });
    const weighted = estimates({ ...data, weight: data.weight.map(() => 2) });
    expect(weighted.fit.life.logLikelihood).toBeCloseTo(written.fit.life.logLikelihood, 6);
    for (const [j, value] of weighted.values.entries()) {
      expect(value).toBeCloseTo(written.values[j], 6);
      expect(weighted.errors[j]).toBeCloseTo(written.errors[j], 6);
    }
  });

  test('the mean of the shifts is 0, and the likeliest link is the true one', () => {
    expect(base.growth.inspectorShift.reduce((a, b) => a + b, 0)).toBeCloseTo(0, 10);
    for (const link of ['cloglog', 'logit'] as const)
      expect(chooseLink(simulate({ seed: 8, seals: 600, link }).data, options).link).toBe(link);
  });
});

test('an inspector who reads double is found, and the others are not blamed', () => {
  const double = Math.log(2);
  const { data } = simulate({ seed: 6, seals: 400, shifts: [0, 0, double, 0, 0, 0, 0, 0], inspectors: 8 });
  const { growth } = estimates(data);
  const away = Array.from(growth.inspectorShift, (shift, k) => shift / growth.inspectorShiftSe[k]);
  expect(away[2]).toBeGreaterThan(8);
  expect(Math.abs(growth.inspectorShift[2] - (7 / 8) * double)).toBeLessThan(2.5 * growth.inspectorShiftSe[2] + 0.03);
  for (const [k, z] of away.entries()) if (k !== 2) expect(z).toBeLessThan(2);
});

test('an unsure day of installation blurs the day of failure less, the nearer a share is to the threshold', () => {
  // Share as age to the power 2.5, life 10 years: 10 % x (age / 10)^2.5 is 3.8 % at 6.8 years and 10 % at 10.
  const ages = [6.8, 10];
  const readings = {
    readingStart: Int32Array.of(0, 2),
    readingAge: Float64Array.from(ages),
    readingShare: Float64Array.from(ages, (age) => 0.1 * (age / 10) ** 2.5),
    readingInspector: Int32Array.of(-1, -1),
    readingAgeSd: Float64Array.of(0.3, 0.3),
  };
  const { ageVariance } = prepareReadings(readings, readingModel(0.1, { link: 'power' }));
  // Installed 0.3 years later, age and life are both 0.3 less: life from the share is 10 / 6.8 x (6.8 - 0.3), not 10 - 0.3.
  expect(Math.sqrt(ageVariance[0])).toBeCloseTo((0.3 * (10 / 6.8 - 1)) / 10, 12);
  expect(ageVariance[1]).toBeCloseTo(0, 12);
});

test('shares on record in whole per cents are found to be so', () => {
  expect(recordingStep([0, 0.01, 0.02, 0.13, 0.07])).toBe(0.01);
  expect(recordingStep([0, 0.005, 0.013, 0.1])).toBe(0.001);
  expect(recordingStep([0.05, 0.1, 0.25])).toBe(0.05);
  expect(recordingStep([0.0123, 0.2])).toBe(0);
});

test('the reading of shares is learnt from them, and a threshold of 1 % leaves no room for a band', () => {
  const { data } = simulate({ seed: 9, seals: 300 });
  const rounded = { ...data, readingShare: data.readingShare.map((share) => Math.round(1000 * share) / 1000) };
  const learn = (threshold: number) => learnReading(rounded, threshold, options);
  expect(learn(0.1)).toMatchObject({ link: 'cloglog', recordingStepShare: 0.001 });
  expect(learnReading(rounded, 0.1, options, 'power')).toEqual({ ...learn(0.1), link: 'power' });
  expect(learn(0.1).thresholdBandShare).toBeCloseTo(0.005, 12);
  const percent = { ...data, readingShare: data.readingShare.map((share) => Math.round(100 * share) / 100) };
  expect(learnReading(percent, 0.01, options)).toMatchObject({
    recordingStepShare: 0,
    detectionLimitShare: 0.005,
  });
  expect(() => fitCondition(rounded, { ...options, reading: learn(0.002) })).not.toThrow();
});

test('a share that is no share is refused by its place', () => {
  const { data } = simulate({ seed: 1, seals: 50 });
  const readingShare = data.readingShare.map((share, r) => (r === 7 ? 12 : share));
  expect(() => fitCondition({ ...data, readingShare }, options)).toThrow(
    'Reading 8 of the fit, share is 12; expected 0 to 1',
  );
});

test('50 seeded data sets of 300 seals: no bias beyond Monte Carlo error, 95 % intervals cover', () => {
  const { bias, covered, shiftsCovered } = recover(50, 300);
  // Six parameters: 3.3 standard errors of the mean is 1 in 1,000 for each.
  for (const z of bias) expect(Math.abs(z)).toBeLessThan(3.3);
  // 300 intervals: 95 % within three binomial standard errors of 1.26 points.
  const share = covered.reduce((a, b) => a + b, 0) / covered.length;
  expect(share).toBeGreaterThan(0.912);
  expect(share).toBeLessThan(0.988);
  expect(shiftsCovered).toBeGreaterThan(0.912);
}, 240_000);
