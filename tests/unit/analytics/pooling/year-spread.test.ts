import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import { yearHazards } from '../../../../analytics/pooling/year-hazards.ts';
import { spreadQuantile, yearSpread } from '../../../../analytics/pooling/year-spread.ts';
import type { AftData } from '../../../../analytics/survival/aft.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { PRIOR } from './simulated-levels.ts';

const [FROM, TO] = [2000, 2026];
const SIGMA = 0.4;
const SCALE_YEARS = 13;

/** Seals of one class laid 2000 to 2018, looked at every other year to 2026, in years that differ by a true multiplier. */
function simulateYears(seed: number, rows: number, sd: number) {
  const { normal, uniform } = seededRandom(seed);
  const multiplier = Array.from({ length: TO - FROM + 1 }, () => Math.exp(sd * normal()));
  const installed = new Float64Array(rows);
  const lower = new Float64Array(rows);
  const upper = new Float64Array(rows).fill(Number.POSITIVE_INFINITY);
  const hazardBy = (age: number): number => (age / SCALE_YEARS) ** (1 / SIGMA);
  for (let i = 0; i < rows; i++) {
    installed[i] = FROM + 18 * uniform();
    const life = lifeOf(installed[i], -Math.log(1 - uniform()));
    for (
      let age = 0.3 + 1.7 * uniform();
      installed[i] + age < TO + 0.5 && upper[i] === Number.POSITIVE_INFINITY;
      age += 2
    )
      if (life > age) lower[i] = age;
      else upper[i] = age;
  }
  const ones = new Float64Array(rows).fill(1);
  const covariates = Float64Array.from({ length: rows * 3 }, (_, k) => Number(k % 3 === 0));
  const data: AftData = {
    ...{ entry: new Float64Array(rows), lower, upper, weight: ones, covariates, intercept: false },
    names: ['class:a', 'class:b', 'x'],
  };
  return { data, installed, multiplier };

  /** Age at which so much hazard has been gathered, year by year. */
  function lifeOf(start: number, target: number): number {
    let gathered = 0;
    for (let age = 0; start + age < TO + 60; ) {
      const year = Math.floor(start + age + 1e-9);
      const next = year + 1 - start;
      const times = multiplier[year - FROM] ?? 1;
      const more = times * (hazardBy(next) - hazardBy(age));
      if (gathered + more >= target) return SCALE_YEARS * (hazardBy(age) + (target - gathered) / times) ** SIGMA;
      gathered += more;
      age = next;
    }
    return Number.POSITIVE_INFINITY;
  }
}

function found(seed: number, rows: number, sd: number) {
  const { data, installed, multiplier } = simulateYears(seed, rows, sd);
  const fit = fitAft(data, { family: 'weibull', prior: PRIOR });
  const hazards = yearHazards(data, fit, { installed, effect: new Float64Array(rows) });
  const spread = yearSpread(hazards);
  return { spread, multiplier, hazards };
}

describe('years that differ', () => {
  const runs = Array.from({ length: 8 }, (_, k) => found(20 + k, 2500, 0.4));

  test('their spread is found again, within its error', () => {
    expect(runs.every(({ spread }) => spread.beyondChance)).toBe(true);
    const logs = runs.map(({ spread }) => Math.log(spreadQuantile(spread, 0.5) / 0.4));
    const mean = logs.reduce((sum, log) => sum + log, 0) / logs.length;
    // About 20 years tell: log sd is known to 1 / sqrt(2 x 20) = 0.16 from each, 0.06 from all; the prior draws it in by 0.05.
    expect(Math.abs(mean)).toBeLessThan(0.05 + 3 * 0.06);
    // 80 % intervals miss three or more of eight once in five times, five or more once in a hundred.
    const held = runs.filter(({ spread }) => spreadQuantile(spread, 0.1) < 0.4 && spreadQuantile(spread, 0.9) > 0.4);
    expect(held.length).toBeGreaterThan(3);
  });

  test('bad years are told from good ones', () => {
    for (const { spread, multiplier } of runs) {
      const telling = spread.years.filter(({ expected }) => expected > 20);
      expect(telling.length).toBeGreaterThan(8);
      const truths = telling.map(({ year }) => Math.log(multiplier[year - FROM]));
      expect(
        correlation(
          telling.map(({ effect }) => effect),
          truths,
        ),
      ).toBeGreaterThan(0.6);
    }
  });

  test('failures shared out over the years are all of them, and so are those expected, nearly', () => {
    for (const { spread, hazards } of runs) {
      const sum = (pick: (year: (typeof spread.years)[number]) => number) =>
        spread.years.reduce((total, year) => total + pick(year), 0);
      const failures = hazards.weight.length;
      expect(Math.abs(sum(({ failures: f }) => f) / failures - 1)).toBeLessThan(0.02);
      // A maximum-likelihood fit expects as many as it saw: its score in the level is nothing.
      expect(Math.abs(sum(({ expected }) => expected) / failures - 1)).toBeLessThan(0.1);
    }
  });
});

test('years that do not differ are found to differ little', () => {
  const runs = Array.from({ length: 10 }, (_, k) => found(60 + k, 1500, 0).spread);
  // At 5 %, three or more of ten would be seen once in a hundred times.
  expect(runs.filter(({ beyondChance }) => beyondChance).length).toBeLessThan(3);
  // The prior alone has its median at 0.2; years that tell bring it down.
  for (const run of runs) expect(spreadQuantile(run, 0.5)).toBeLessThan(0.15);
});

test('few years, or few failures, leave what is believed before any data', () => {
  const { data, installed } = simulateYears(1, 60, 0.4);
  const fit = fitAft(data, { family: 'weibull', prior: PRIOR });
  const few = { ...data, upper: data.upper.map(() => Number.POSITIVE_INFINITY) };
  const unknown = installed.map(() => Number.NaN);
  for (const [rows, dates] of [
    [few, installed],
    [data, unknown],
  ] as const) {
    const spread = yearSpread(yearHazards(rows, fit, { installed: dates, effect: new Float64Array(60) }));
    expect(spread.told).toBe(false);
    // Quartiles of |N(0, 0.3²)|: 0.3 times 0.3186, 0.6745 and 1.1503 (tables of the normal distribution).
    for (const [share, z] of [
      [0.25, 0.3186],
      [0.5, 0.6745],
      [0.75, 1.1503],
    ])
      expect(Math.abs(spreadQuantile(spread, share) / (0.3 * z) - 1)).toBeLessThan(0.03);
  }
});

test('hazard is cut at the turn of the year: what a row gathers adds up to its own', () => {
  const data: AftData = {
    ...{
      entry: Float64Array.of(1),
      lower: Float64Array.of(4),
      upper: Float64Array.of(6.5),
      weight: Float64Array.of(2),
    },
    ...{ covariates: Float64Array.of(1), names: ['class:a'], intercept: false },
  };
  const fit = { family: 'weibull', coefficients: Float64Array.of(Math.log(8)), scale: 0.5 } as const;
  const { firstYear, years, sound, start, year, hazard } = yearHazards(data, fit, {
    ...{ installed: Float64Array.of(2010.25), effect: Float64Array.of(Math.log(1.25)) },
  });
  // Shape 2, scale 8 x 1.25 = 10 years: (t / 10)², cut at ages 1.75, 2.75, 3.75, then 4.75, 5.75.
  const at = (age: number) => (age / 10) ** 2;
  expect([firstYear, years]).toEqual([2011, 6]);
  const expected = [1.75, 2.75, 3.75, 4].map((age, k, all) => 2 * (at(age) - at(k === 0 ? 1 : all[k - 1])));
  for (const [t, value] of expected.entries()) expect(sound[t]).toBeCloseTo(value, 12);
  expect([...start, ...year]).toEqual([0, 3, 3, 4, 5]);
  for (const [e, [from, to]] of [
    [4, 4.75],
    [4.75, 5.75],
    [5.75, 6.5],
  ].entries())
    expect(hazard[e]).toBeCloseTo(at(to) - at(from), 12);
});

function correlation(a: readonly number[], b: readonly number[]): number {
  const mean = (values: readonly number[]) => values.reduce((sum, v) => sum + v, 0) / values.length;
  const product = (x: readonly number[], y: readonly number[]) =>
    x.reduce((sum, v, i) => sum + (v - mean(x)) * (y[i] - mean(y)), 0);
  return product(a, b) / Math.sqrt(product(a, a) * product(b, b));
}
