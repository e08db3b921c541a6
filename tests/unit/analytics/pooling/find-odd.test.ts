import { describe, expect, test } from 'vitest';
import { falseDiscoveryShares } from '../../../../analytics/pooling/benjamini-hochberg.ts';
import { findOdd } from '../../../../analytics/pooling/find-odd.ts';
import { fitPooled, type PooledFit } from '../../../../analytics/pooling/fit-pooled.ts';
import {
  poissonAtLeast,
  poissonAtMost,
  poissonInterval,
  poissonTwoSided,
} from '../../../../analytics/pooling/poisson-count.ts';
import { simulateLots } from './simulated-lots.ts';

const fitTo = ({ data, lots }: ReturnType<typeof simulateLots>): PooledFit =>
  fitPooled(data, [lots], { family: 'weibull', prior: null });

describe('lots that differ', () => {
  test('no true effect: nothing is named in at least 95 of 100 seeds', () => {
    let named = 0;
    for (let seed = 1; seed <= 100; seed++) {
      const fit = fitTo(simulateLots({ seals: 600, lots: 20, seed, effectOf: () => 0 }));
      if (findOdd(fit, 'lot').odd.length > 0) named++;
    }
    expect(named).toBeLessThanOrEqual(5);
  });

  test('a planted bad lot is found, first in the list, in nearly every seed, and a planted long-lived one too', () => {
    let found = 0;
    for (let seed = 1; seed <= 20; seed++) {
      const effectOf = (l: number): number => [0, 0, -0.5, 0.5][l] ?? 0;
      const fit = fitTo(simulateLots({ seals: 900, lots: 20, seed, effectOf }));
      const { odd } = findOdd(fit, 'lot');
      const early = odd[0]?.level === 'A3' && odd[0].direction === 'fails early';
      if (early && odd.some(({ level, direction }) => level === 'A4' && direction === 'lasts long')) found++;
    }
    expect(found).toBeGreaterThanOrEqual(18);
  });

  test('sentences say what was seen, expected and concluded', () => {
    const fit = fitTo(simulateLots({ seals: 900, lots: 20, seed: 1, effectOf: (l) => (l === 2 ? -0.5 : 0) }));
    const result = findOdd(fit, 'lot');
    expect(result.sentences).toHaveLength(20);
    expect(result.odd[0].sentence).toMatch(
      /^Lot A3 fails early: \d+ of \d+ seals failed where [\d.]+ were expected, and life is 0\.\d\d of the usual \(80 % interval 0\.\d\d to 0\.\d\d\)\.$/,
    );
    expect(result.sentences[2]).toBe(result.odd[0].sentence);
    expect(result.sentences[0]).toMatch(/^Lot A1 shows nothing beyond chance: /);
    expect(result.sentence).toBe('Of 20 lots judged, 1 fail early and 0 last long beyond chance.');
  });
});

describe('thin data name nobody', () => {
  test('three seals of a lot that all failed at once', () => {
    const { data, lots } = simulateLots({ seals: 600, lots: 20, seed: 3, effectOf: () => 0 });
    const index = Int32Array.of(...lots.index, 20, 20, 20);
    const append = (from: Float64Array, value: number): Float64Array => Float64Array.of(...from, value, value, value);
    const fit = fitPooled(
      {
        ...data,
        entry: append(data.entry, 0),
        lower: append(data.lower, 0),
        upper: append(data.upper, 2),
        weight: append(data.weight, 1),
      },
      [{ ...lots, index, levels: [...lots.levels, 'tiny'] }],
      { family: 'weibull', prior: null },
    );
    const result = findOdd(fit, 'lot');
    expect(fit.groupings[0].levels[20].countChance ?? 1).toBeLessThan(1e-4);
    expect(result.odd.map(({ level }) => level)).not.toContain('tiny');
    expect(result).toMatchObject({ judged: 20, thin: 1 });
    expect(result.sentences[20]).toMatch(
      /^Lot tiny has too little on record to judge: 3 of 3 seals failed where 0(\.\d)? were expected\.$/,
    );
    expect(result.sentence).toMatch(/; 1 more have too little on record\.$/);
  });

  test('but a lot that all failed in its first years is not thin, though next to nothing was expected', () => {
    const { data, lots } = simulateLots({ seals: 600, lots: 20, seed: 3, effectOf: () => 0 });
    const lower = data.lower.map((age, i) => (lots.index[i] === 7 ? 0 : age));
    const upper = data.upper.map((age, i) => (lots.index[i] === 7 ? 2 : age));
    const { odd } = findOdd(fitPooled({ ...data, lower, upper }, [lots], { family: 'weibull', prior: null }), 'lot');
    expect(odd[0]).toMatchObject({ level: 'A8', direction: 'fails early' });
    expect(odd[0].expectedFailures ?? 9).toBeLessThan(1);
  });

  test('no lot with enough to judge, one lot only, no failures', () => {
    const { data, lots } = simulateLots({ seals: 40, lots: 20, seed: 3, effectOf: () => 0 });
    const thin = findOdd(fitPooled(data, [lots], { family: 'weibull', prior: null }), 'lot');
    expect(thin.odd).toEqual([]);
    expect(thin.sentence).toMatch(/^No lot can be judged: fewer than 5 failures are expected of each\./);
    const single = { ...lots, index: lots.index.map(() => 0) };
    const one = findOdd(fitPooled(data, [single], { family: 'weibull', prior: null }), 'lot');
    expect(one.sentences[0]).toMatch(/^Lot A1 cannot be compared: Only one lot is on record/);
    expect(one.sentences[1]).toBe('Lot A2 has no seals on record.');
    const sound = { ...data, upper: data.upper.map(() => Infinity) };
    const none = findOdd(fitPooled(sound, [lots], { family: 'weibull', prior: null }), 'lot');
    expect(none.odd).toEqual([]);
    expect(none.sentence).toMatch(/No failure is on record/);
  });

  test('an unknown grouping or share is refused', () => {
    const fit = fitTo(simulateLots({ seals: 100, lots: 4, seed: 3, effectOf: () => 0 }));
    expect(() => findOdd(fit, 'crew')).toThrow('The fit has no grouping crew; it has lot');
    expect(() => findOdd(fit, 'lot', { falseDiscoveryShare: 0 })).toThrow('falseDiscoveryShare is 0');
  });
});

test('Benjamini and Hochberg 1995, section 4: of fifteen chances the four smallest are rejected at 0.05', () => {
  const chances = Float64Array.of(
    ...[
      0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1,
    ],
  );
  const shares = falseDiscoveryShares(chances);
  expect([...shares].filter((share) => share <= 0.05)).toHaveLength(4);
  // 0.0095 x 15 / 4.
  expect(shares[3]).toBeCloseTo(0.035625, 12);
  expect([...falseDiscoveryShares(Float64Array.from([...chances].reverse()))]).toEqual([...shares].reverse());
});

describe('Poisson counts', () => {
  test('exact 95 % intervals as tabled by Garwood 1936 (from memory)', () => {
    expect(poissonInterval(0, 0.95).upper).toBeCloseTo(3.6889, 4);
    expect(poissonInterval(0, 0.95).lower).toBe(0);
    const ten = poissonInterval(10, 0.95);
    expect([ten.lower.toFixed(3), ten.upper.toFixed(2)]).toEqual(['4.795', '18.39']);
  });

  test('tails are sums of the terms', () => {
    let term = Math.exp(-4.2);
    let sum = 0;
    for (let k = 0; k < 12; k++) {
      expect(poissonAtLeast(k, 4.2)).toBeCloseTo(1 - sum, 12);
      sum += term;
      expect(poissonAtMost(k, 4.2)).toBeCloseTo(sum, 12);
      term *= 4.2 / (k + 1);
    }
    expect(poissonTwoSided(4, 4.2)).toBe(1);
    expect(poissonTwoSided(0, 4.2)).toBeCloseTo(2 * Math.exp(-4.2), 12);
  });
});
