import { describe, expect, test } from 'vitest';
import { fitPooled, type Grouping, type PooledFit } from '../../../../analytics/pooling/fit-pooled.ts';
import type { AftData, Family } from '../../../../analytics/survival/aft.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { weakPrior } from '../../../../analytics/survival/weak-prior.ts';
import { aftCases, caseData, dataOf, mixedCensoring } from '../../../reference/survival/read.ts';
import { simulateLots } from './simulated-lots.ts';

const FAMILIES: readonly Family[] = ['weibull', 'lognormal', 'loglogistic', 'exponential'];
const mixed = dataOf(mixedCensoring.rows);
const threeLots: Grouping = {
  name: 'lot',
  index: Int32Array.from(mixedCensoring.rows, (_, i) => i % 3),
  levels: ['a', 'b', 'c'],
};
const lung = caseData(aftCases.find(({ name }) => name === 'lung') ?? aftCases[0]);
const lungGroups: Grouping = {
  name: 'centre',
  index: Int32Array.from({ length: lung.lower.length }, (_, i) => i % 11),
  levels: Array.from({ length: 11 }, (_, l) => `c${l}`),
};

describe('with next to no spread it is the plain fit', () => {
  for (const family of FAMILIES)
    test(family, () => {
      for (const [data, grouping] of [
        [mixed, threeLots],
        [lung, lungGroups],
      ] as const) {
        const plain = fitAft(data, { family, prior: null });
        const pooled = fitPooled(data, [grouping], { family, prior: null, fixedSds: [1e-5], restricted: false });
        expect(Math.abs(pooled.scale / plain.scale - 1)).toBeLessThan(1e-5);
        pooled.coefficients.forEach((b, j) => {
          expect(Math.abs(b - plain.coefficients[j])).toBeLessThan(1e-5 * (1 + Math.abs(plain.coefficients[j])));
        });
        const size = plain.names.length + (family === 'exponential' ? 0 : 1);
        pooled.coefficientErrors?.forEach((error, j) => {
          expect(Math.abs(error / Math.sqrt(plain.covariance?.[j * (size + 1)] ?? 0) - 1)).toBeLessThan(1e-3);
        });
        for (const { effect } of pooled.groupings[0].levels) expect(Math.abs(effect ?? 1)).toBeLessThan(1e-6);
      }
    });
});

describe('simulated lots', () => {
  test('the spread is found again and 80 % intervals of effects cover about 80 %', () => {
    let covered = 0;
    let levels = 0;
    let sum = 0;
    const seeds = 12;
    for (let seed = 1; seed <= seeds; seed++) {
      const { data, lots, effects } = simulateLots({
        seals: 2400,
        lots: 80,
        seed,
        effectOf: (_, random) => 0.2 * random.normal(),
      });
      const fit = fitPooled(data, [lots], { family: 'weibull', prior: null });
      const [grouping] = fit.groupings;
      sum += grouping.sd ?? 0;
      grouping.levels.forEach(({ effect, standardError }, l) => {
        levels++;
        if (Math.abs((effect ?? 0) - effects[l]) < 1.2816 * (standardError ?? 0)) covered++;
      });
      expect(grouping.sdLower ?? 1).toBeLessThan(grouping.sd ?? 0);
      expect(grouping.sdUpper ?? 0).toBeGreaterThan(grouping.sd ?? 1);
    }
    // The mean of 12 estimates, each with a standard error of about 0.02.
    expect(Math.abs(sum / seeds - 0.2)).toBeLessThan(0.015);
    expect(covered / levels).toBeGreaterThan(0.76);
    expect(covered / levels).toBeLessThan(0.84);
  });

  test('shrunk effects are nearer the truth than the same fit with hardly any shrinkage', () => {
    const { data, lots, effects } = simulateLots({
      seals: 600,
      lots: 60,
      seed: 4,
      effectOf: (_, random) => 0.15 * random.normal(),
    });
    const errorOf = (fit: PooledFit): number =>
      fit.groupings[0].levels.reduce((sum, { effect }, l) => sum + ((effect ?? 0) - effects[l]) ** 2, 0);
    const shrunk = fitPooled(data, [lots], { family: 'weibull', prior: null });
    const loose = fitPooled(data, [lots], { family: 'weibull', prior: null, fixedSds: [2] });
    expect(errorOf(shrunk)).toBeLessThan(0.6 * errorOf(loose));
  });

  test('expected failures add up to those seen, and the order of rows does not matter', () => {
    const { data, lots } = simulateLots({ seals: 500, lots: 10, seed: 2, effectOf: (l) => (l % 2 ? 0.2 : -0.2) });
    const fit = fitPooled(data, [lots], { family: 'weibull', prior: null });
    const fitted = fit.groupings[0].levels.reduce((sum, level) => sum + (level.fittedFailures ?? 0), 0);
    expect(Math.abs(fitted - fit.failures)).toBeLessThan(0.01 * fit.failures);
    const order = [...data.lower.keys()].reverse();
    const pick = (from: Float64Array): Float64Array => Float64Array.from(order, (i) => from[i]);
    const reversed = fitPooled(
      { ...data, lower: pick(data.lower), upper: pick(data.upper) },
      [{ ...lots, index: Int32Array.from(order, (i) => lots.index[i]) }],
      { family: 'weibull', prior: null },
    );
    expect(Math.abs((reversed.groupings[0].sd ?? 0) / (fit.groupings[0].sd ?? 1) - 1)).toBeLessThan(1e-4);
    reversed.groupings[0].levels.forEach(({ effect }, l) => {
      expect(Math.abs((effect ?? 0) - (fit.groupings[0].levels[l].effect ?? 1))).toBeLessThan(1e-5);
    });
  });

  test('the same data give the same bytes', () => {
    const { data, lots } = simulateLots({ seals: 300, lots: 10, seed: 2, effectOf: () => 0 });
    const once = (): string => JSON.stringify(fitPooled(data, [lots], { family: 'loglogistic', prior: null }));
    expect(once()).toBe(once());
  });
});

/** Every number is finite or null, and every sentence is one. */
function expectHonest(fit: PooledFit): void {
  const numbers = [...fit.coefficients, fit.scale, ...(fit.coefficientErrors ?? [])];
  for (const { sd, sdLower, sdUpper, levels, sentence } of fit.groupings) {
    expect(sentence.endsWith('.')).toBe(true);
    for (const value of [sd, sdLower, sdUpper, ...levels.flatMap((level) => Object.values(level))])
      if (typeof value === 'number') numbers.push(value);
  }
  expect(numbers.filter((value) => !Number.isFinite(value))).toEqual([]);
}

type Row = readonly [number, number, number | null, number];
const grouped = (rows: readonly Row[], index: readonly number[], levels: readonly string[]): [AftData, Grouping[]] => [
  dataOf(rows),
  [{ name: 'lot', index: Int32Array.from(index), levels }],
];

describe('awkward groups give sane answers', () => {
  const tenRows: readonly Row[] = [
    [0, 3, 5, 1],
    [0, 4, 8, 1],
    [0, 6, 7, 1],
    [0, 9, null, 1],
    [0, 7, null, 1],
    [0, 8, 11, 1],
    [0, 2, 4, 1],
    [0, 10, null, 1],
    [2, 5, 9, 1],
    [0, 12, null, 1],
  ];

  test('ten rows', () => {
    for (const family of FAMILIES) {
      const [data, groups] = grouped(tenRows, [0, 1, 2, 0, 1, 2, 0, 1, 2, 0], ['a', 'b', 'c']);
      const fit = fitPooled(data, groups, { family, prior: null });
      expectHonest(fit);
      expect(fit.converged).toBe(true);
      expectHonest(fitPooled(data, groups, { family, prior: weakPrior(data) }));
      expectHonest(fitPooled(data, groups, { family, prior: null, spreadPrior: null }));
    }
  });

  test('a level without failures lasts longer, by a finite ratio, and a level never used is the average', () => {
    const rows: readonly Row[] = [...tenRows, [0, 12, null, 8]];
    const [data, groups] = grouped(rows, [0, 1, 0, 0, 1, 1, 0, 1, 0, 1, 2], ['a', 'b', 'no failures', 'unused']);
    const fit = fitPooled(data, groups, { family: 'weibull', prior: null });
    expectHonest(fit);
    const [, , none, unused] = fit.groupings[0].levels;
    expect(none).toMatchObject({ failures: 0, seals: 8, observedToExpected: 0, observedToExpectedLower: 0 });
    expect(none.lifeRatio ?? 0).toBeGreaterThan(1);
    expect(none.lifeRatio ?? 9).toBeLessThan(3);
    expect(unused).toMatchObject({ seals: 0, failures: 0, expectedFailures: 0, observedToExpected: null });
    expect(Math.abs(unused.effect ?? 1)).toBeLessThan(1e-9);
    expect(unused.standardError ?? 0).toBeCloseTo(fit.groupings[0].sd ?? 9, 9);
  });

  test('complete separation: one level all failed at the first look, the other all sound', () => {
    const rows: readonly Row[] = [
      [0, 0, 3, 10],
      [0, 12, null, 10],
    ];
    for (const family of FAMILIES) {
      const [data, groups] = grouped(rows, [0, 1], ['early', 'late']);
      expectHonest(fitPooled(data, groups, { family, prior: null }));
      const held = fitPooled(data, groups, { family, prior: weakPrior(data) });
      expectHonest(held);
      expect(held.converged).toBe(true);
      const [early, late] = held.groupings[0].levels;
      expect(early.lifeRatio ?? 9).toBeLessThan(late.lifeRatio ?? 0);
      expect(late.lifeRatio ?? 99).toBeLessThan(20);
    }
  });

  test('one level only', () => {
    const [data, groups] = grouped(tenRows, new Array<number>(10).fill(0), ['a']);
    const fit = fitPooled(data, groups, { family: 'weibull', prior: null });
    const plain = fitAft(data, { family: 'weibull', prior: null });
    expectHonest(fit);
    expect(fit.groupings[0]).toMatchObject({
      sd: null,
      sentence: 'Only one lot is on record, so there is nothing to compare it with.',
    });
    expect(fit.groupings[0].levels[0]).toMatchObject({ level: 'a', effect: null, seals: 10, failures: 6 });
    expect(Math.abs(fit.coefficients[0] - plain.coefficients[0])).toBeLessThan(0.1);
    const unknown = fitPooled(...grouped(tenRows, new Array<number>(10).fill(-1), ['a', 'b']), {
      family: 'weibull',
      prior: null,
    });
    expect(unknown.groupings[0].sentence).toBe('No seal has its lot on record, so there is nothing to compare.');
    expect(unknown.groupings[0].unknownSeals).toBe(10);
  });

  test('all failed, and none failed', () => {
    const failed: readonly Row[] = tenRows.map(([entry, lower, upper]) => [entry, lower, upper ?? lower + 2, 1]);
    const index = [0, 1, 2, 0, 1, 2, 0, 1, 2, 0];
    const all = fitPooled(...grouped(failed, index, ['a', 'b', 'c']), { family: 'weibull', prior: null });
    expectHonest(all);
    expect(all.converged).toBe(true);
    const sound: readonly Row[] = tenRows.map(([entry, lower]) => [entry, lower, null, 1]);
    const none = fitPooled(...grouped(sound, index, ['a', 'b', 'c']), { family: 'weibull', prior: null });
    expectHonest(none);
    expect(none).toMatchObject({ converged: false, status: 'no-events' });
    expect(none.groupings[0].sentence).toBe(
      'The 3 levels of lot cannot be compared. No failure is on record, so life has no estimate; use a prior on life, or wait for the first failures.',
    );
    expect(none.groupings[0].levels[0]).toMatchObject({ effect: null, seals: 4, failures: 0, expectedFailures: null });
    const data = dataOf(sound);
    const prior = { means: [2.5], sds: [0.5], logScaleMean: -0.9, logScaleSd: 0.4 };
    const held = fitPooled(data, [{ name: 'lot', index: Int32Array.from(index), levels: ['a', 'b', 'c'] }], {
      family: 'weibull',
      prior,
    });
    expectHonest(held);
    expect(held.converged).toBe(true);
  });

  test('seals of unknown lot count for the rest of the model', () => {
    const { data, lots } = simulateLots({ seals: 400, lots: 8, seed: 6, effectOf: (l) => (l < 4 ? 0.3 : -0.3) });
    const index = lots.index.map((l, i) => (i % 5 === 0 ? -1 : l));
    const fit = fitPooled(data, [{ ...lots, index }], { family: 'weibull', prior: null });
    expectHonest(fit);
    expect(fit.groupings[0].unknownSeals).toBe(80);
    expect(fit.groupings[0].levels.reduce((sum, { seals }) => sum + seals, 0)).toBe(320);
  });

  test('two groupings that say the same share the effect', () => {
    const { data, lots } = simulateLots({ seals: 400, lots: 8, seed: 6, effectOf: (l) => (l < 4 ? 0.3 : -0.3) });
    const fit = fitPooled(data, [lots, { ...lots, name: 'crew' }], { family: 'weibull', prior: null });
    expectHonest(fit);
    const [first, second] = fit.groupings.map(({ levels }) => levels[0].effect ?? 0);
    expect(Math.abs(first - second)).toBeLessThan(0.02);
  });
});

test('wrong indices and spreads are refused by grouping and row', () => {
  const pooling = (index: readonly number[], fixedSds?: readonly number[]) => () =>
    fitPooled(
      dataOf([
        [0, 3, 5, 1],
        [0, 4, null, 1],
      ]),
      [{ name: 'lot', index: Int32Array.from(index), levels: ['a'] }],
      {
        family: 'weibull',
        prior: null,
        fixedSds,
      },
    );
  expect(pooling([0, 1])).toThrow('Row 2 of the fit, lot is 1; expected a place among its 1 levels, or -1');
  expect(pooling([0])).toThrow('Grouping lot has 1 entries; expected 2, one for each row');
  expect(pooling([0, 0], [0])).toThrow('The fixed spread of lot is 0; expected a number above 0');
});
