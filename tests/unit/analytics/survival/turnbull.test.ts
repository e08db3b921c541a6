import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { turnbull } from '../../../../analytics/survival/turnbull.ts';
import { turnbullOfGroups } from '../../../../analytics/survival/turnbull-chunks.ts';
import { dataOf, nonparametric } from '../../../reference/survival/read.ts';

type Row = readonly [number, number, number | null, number];
const estimate = (rows: readonly Row[]) => turnbull(dataOf(rows));

test('the radiotherapy-only arm gives the published masses', () => {
  // Finkelstein and Wolfe 1985, Biometrics 41:933-945; 46 patients, months. Log-likelihood recomputed: -58.0600.
  const intervals =
    '0,7 0,8 0,5 4,11 5,12 5,11 6,10 7,16 7,14 11,15 11,18 17,25 17,25 19,35 18,26 25,37 26,40 27,34 36,44 36,48 37,44';
  const sound = [15, 17, 18, 22, 24, 24, 32, 33, 34, 36, 36, 37, 37, 37, 38, 40, 45, 46, 46, 46, 46, 46, 46, 46, 46];
  const rows: Row[] = [
    ...intervals.split(' ').map((text): Row => {
      const [lower, upper] = text.split(',').map(Number);
      return [0, lower, upper, 1];
    }),
    ...sound.map((age): Row => [0, age, null, 1]),
  ];
  expect(rows).toHaveLength(46);
  const found = estimate(rows);
  const printed = [...found.mass].map((m, j) => `(${found.from[j]},${found.to[j]}] ${m.toFixed(4)}`);
  expect(printed).toEqual([
    '(4,5] 0.0463',
    '(6,7] 0.0334',
    '(7,8] 0.0887',
    '(11,12] 0.0708',
    '(24,25] 0.0926',
    '(33,34] 0.0818',
    '(38,40] 0.1209',
    '(46,48] 0.4656',
  ]);
  expect(found.logLikelihood).toBeCloseTo(-58.06, 4);
  expect(found.converged).toBe(true);
});

test("Turnbull's own example of doubly censored data", () => {
  // Turnbull 1974, J. Am. Statist. Assoc. 69:169-173: times 1 to 4, exact 12 6 2 3, right 3 2 0 3, left 2 4 2 5.
  const exact = [12, 6, 2, 3];
  const right = [3, 2, 0, 3];
  const left = [2, 4, 2, 5];
  const rows = [1, 2, 3, 4].flatMap((t, k): Row[] => [
    [0, t, t, exact[k]],
    [0, t, null, right[k]],
    [0, 0, t, left[k]],
  ]);
  const found = estimate(rows.filter((row) => row[3] > 0));
  // The published table counts left-censored units as failing before their time, exact ones at it.
  expect([...found.survivalAfter].slice(0, 4).map((s) => Number(s.toFixed(6)))).toEqual([
    0.537568, 0.294594, 0.20976, 0.094846,
  ]);
});

describe('inspection data fitted by the R package survival', () => {
  for (const reference of nonparametric.turnbull) {
    test(reference.name, () => {
      const found = estimate(reference.rows.map((r): Row => [0, r.lower ?? 0, r.upper, r.weight]));
      const survivalAt = (age: number): number => {
        let survival = 1;
        found.to.forEach((to, j) => {
          if (to <= age) survival = found.survivalAfter[j];
        });
        return survival;
      };
      // R's EM stops at about 2e-4 in the turbine data (its own rows of equal survival differ by that much).
      const inspections = new Set(reference.rows.flatMap((r) => [r.lower, r.upper]));
      for (const step of reference.steps)
        if (inspections.has(step.time)) expect(Math.abs(survivalAt(step.time) - step.survival)).toBeLessThan(5e-4);
    });
  }
});

test('one inspection of each unit gives the pooled adjacent failed shares', () => {
  // Ayer et al. 1955, Ann. Math. Statist. 26: with current-status data the estimate is isotonic regression.
  // Turbine wheels, Nelson 1982: cracked / inspected by hundreds of hours.
  const inspected = [39, 53, 33, 73, 30, 39, 42, 13, 34, 40, 36];
  const cracked = [0, 4, 2, 7, 5, 9, 9, 6, 22, 21, 21];
  const ages = [4, 10, 14, 18, 22, 26, 30, 34, 38, 42, 46];
  const rows = ages.flatMap((age, k): Row[] => [
    [0, 0, age, cracked[k]],
    [0, age, null, inspected[k] - cracked[k]],
  ]);
  const found = estimate(rows.filter((row) => row[3] > 0));
  const failedBy = (age: number): number => found.mass.reduce((sum, m, j) => (found.to[j] <= age ? sum + m : sum), 0);
  // Pools by hand: {4}, {10, 14}, {18}, {22}, {26, 30}, {34}, {38, 42}, {46}.
  const expected = [0, 6 / 86, 6 / 86, 7 / 73, 5 / 30, 18 / 81, 18 / 81, 6 / 13, 43 / 74, 43 / 74, 21 / 36];
  ages.forEach((age, k) => {
    expect(Math.abs(failedBy(age) - expected[k])).toBeLessThan(1e-9);
  });
});

test('with exact and right-censored ages it is the product-limit estimate (Freireich et al. 1963)', () => {
  const relapsed = [6, 6, 6, 7, 10, 13, 16, 22, 23];
  const censored = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35];
  const found = estimate([...relapsed.map((t): Row => [0, t, t, 1]), ...censored.map((t): Row => [0, t, null, 1])]);
  const printed = [...found.survivalAfter].slice(0, 7).map((s) => s.toFixed(4));
  expect(printed).toEqual(['0.8571', '0.8067', '0.7529', '0.6902', '0.6275', '0.5378', '0.4482']);
});

const survivalBy = (found: ReturnType<typeof turnbull>, age: number): number =>
  found.mass.reduce((sum, m, j) => (found.to[j] <= age ? sum - m : sum), 1);

test('delayed entry with exact ages is the product-limit estimate with its risk sets', () => {
  // By hand: entry, age, failed: 0 2 1; 0 5 0; 0 6 1; 1 4 1; 3 7 1; 3 8 0. Risk sets 4 at 2, 5 at 4, 3 at 6, 2 at 7.
  const found = estimate([
    [0, 2, 2, 1],
    [0, 5, null, 1],
    [0, 6, 6, 1],
    [1, 4, 4, 1],
    [3, 7, 7, 1],
    [3, 8, null, 1],
  ]);
  const expected = [
    [2, 3 / 4],
    [4, (3 / 4) * (4 / 5)],
    [6, (3 / 4) * (4 / 5) * (2 / 3)],
    [7, (3 / 4) * (4 / 5) * (2 / 3) * (1 / 2)],
  ];
  for (const [age, survival] of expected) expect(Math.abs(survivalBy(found, age) - survival)).toBeLessThan(1e-8);
});

test('an estimate that exists and is useless says so', () => {
  // One unit watched from age 0 fails in the first year; ten that entered at age 5 are sound at 9.
  const found = estimate([
    [0, 0, 1, 1],
    [5, 9, null, 10],
  ]);
  expect(found.note).toMatch(/do not use it/);
});

test('a curve that starts late says from which age', () => {
  const found = estimate([
    [2, 4, 6, 3],
    [3, 8, null, 4],
  ]);
  expect(found.note).toMatch(/before age 2/);
});

const ages = fc.integer({ min: 0, max: 12 });
const anyRow = fc
  .tuple(ages, ages, ages, fc.integer({ min: 1, max: 3 }), fc.boolean())
  .map(([a, b, c, w, open]): Row => {
    const [entry, lower, upper] = [a, b, c].sort((x, y) => x - y);
    return [entry > 4 ? 0 : entry, lower, open || upper === 0 ? null : upper === lower ? upper + 1 : upper, w];
  });

test('masses are a distribution, no slope is above 0 and row order does not matter', () => {
  fc.assert(
    fc.property(fc.array(anyRow, { minLength: 1, maxLength: 40 }), (rows) => {
      const found = estimate(rows);
      expect(found.mass.reduce((a, b) => a + b, 0)).toBeCloseTo(1, 9);
      expect(found.mass.every((m) => m > 0)).toBe(true);
      expect(found.survivalAfter.every((s, j) => j === 0 || s < found.survivalAfter[j - 1])).toBe(true);
      expect(found.converged).toBe(true);
      expect(estimate([...rows].reverse()).logLikelihood).toBeCloseTo(found.logLikelihood, 6);
    }),
    { seed: 1, numRuns: 300 },
  );
});

test('several groups at once have the estimates that each has alone', () => {
  const rows = (lower: number[], upper: number[]) => ({
    entry: new Float64Array(lower.length),
    lower: Float64Array.from(lower),
    upper: Float64Array.from(upper),
    weight: new Float64Array(lower.length).fill(1),
  });
  // Exact ages too, which may carry mass beside an interval that begins there.
  const groups = [rows([0, 2, 2, 3, 5], [2, 4, 2, 7, Infinity]), rows([], []), rows([1, 1], [1, 3])];
  const found = turnbullOfGroups(groups);
  for (const g of [0, 2]) expect(turnbull(groups[g])).toMatchObject(found[g]);
  expect(found[1].mass.length).toBe(0);
});

test('bad rows are refused by row and field', () => {
  expect(() => estimate([[0, 5, 3, 1]])).toThrow(
    'Row 1 of the estimate, upper is 3; expected an age above 0, at least the lower age 5',
  );
  expect(() => estimate([])).toThrow(RangeError);
});
