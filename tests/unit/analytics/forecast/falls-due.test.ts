import { describe, expect, test } from 'vitest';
import { intervalOf } from '../../../../analytics/forecast/draw-table.ts';
import type { FallsDueInput, FallsDueOptions } from '../../../../analytics/forecast/falls-due.ts';
import { DueGroupRun } from '../../../../analytics/forecast/falls-due-cells.ts';
import { RuleFirstFailures } from '../../../../analytics/forecast/first-failures.ts';
import { gammaDraw } from '../../../../analytics/forecast/gamma-draw.ts';
import { delayedRenewalsByYear, wholeYearLives } from '../../../../analytics/forecast/renewal.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import type { PosteriorDraws } from '../../../../analytics/survival/aft.ts';
import { fallsDue } from './falls-due-of.ts';

const OPTIONS: FallsDueOptions = {
  yearLeft: 0.4,
  horizonYears: 20,
  failureThresholdShare: 0.1,
  damageRule: null,
  planningYear: 2026,
  priceYear: 2024,
  escalationPerYear: 0,
  discountRatePerYear: 0,
  seed: 7,
};
interface Line {
  eta: number;
  sound: number;
  now: number;
  failed?: number;
  lengthM: number;
  district?: number;
  sealantClass?: number;
  costPerM?: number;
}
const inputOf = (lines: readonly Line[]): FallsDueInput => ({
  count: lines.length,
  covariates: Float64Array.from(lines, (line) => line.eta),
  soundAgeYears: Float64Array.from(lines, (line) => line.sound),
  planningAgeYears: Float64Array.from(lines, (line) => line.now),
  foundFailedAgeYears: Float64Array.from(lines, (line) => line.failed ?? Number.NaN),
  damageShare: new Float64Array(lines.length).fill(Number.NaN),
  lengthM: Float64Array.from(lines, (line) => line.lengthM),
  district: Int32Array.from(lines, (line) => line.district ?? 0),
  sealantClass: Int32Array.from(lines, (line) => line.sealantClass ?? 0),
  costPerM: Float64Array.from(lines, (line) => line.costPerM ?? 5),
});
/** Every draw has coefficient 1, so that eta is the covariate itself. */
const drawsOf = (draws: number, sigma: number): PosteriorDraws => ({
  draws,
  coefficients: new Float64Array(draws).fill(1),
  scale: new Float64Array(draws).fill(sigma),
  effectiveSampleSize: draws,
  paretoK: 0,
});
const meanByYear = (values: Float64Array, draws: number) =>
  Array.from({ length: 21 }, (_, y) => {
    let sum = 0;
    for (let d = 0; d < draws; d++) sum += values[d * 21 + y];
    return sum / draws;
  });

/** The form to read: one segment's expected length by year, first failure and renewals. */
function expectedLength({ eta, sound, now, failed, lengthM }: Line, sigma: number): number[] {
  const survival = (t: number) => Math.exp(-((t / Math.exp(eta)) ** (1 / sigma)));
  const at = (y: number) => (failed !== undefined ? 0 : survival(now + 0.4 + y) / survival(sound));
  const first = Float64Array.from({ length: 21 }, (_, y) => (y === 0 ? 1 - at(0) : at(y - 1) - at(y)));
  return [...delayedRenewalsByYear(first, wholeYearLives(survival, 20))].map((share) => lengthM * share);
}

const byRule = (input: FallsDueInput, draws: number, sigma: number) => ({
  ...OPTIONS,
  firstFailures: new RuleFirstFailures(input, drawsOf(draws, sigma), 'weibull', OPTIONS),
});

const network: Line[] = Array.from({ length: 60 }, (_, i) => ({
  eta: 2.2 + 0.01 * i,
  sound: i % 12,
  now: (i % 12) + 1.3,
  lengthM: 100 + 10 * i,
  district: i % 3,
  sealantClass: i % 2,
  ...(i % 10 === 9 ? { failed: (i % 12) + 0.5 } : {}),
}));

describe('what falls due', () => {
  test('expected length agrees with first failures and renewals segment by segment', () => {
    const draws = 4000;
    const input = inputOf(network);
    const run = new DueGroupRun(input, drawsOf(draws, 0.4), 'weibull', byRule(input, draws, 0.4));
    const found = meanByYear(run.run(network.map((_, i) => i)), draws);
    const expected = network.map((line) => expectedLength(line, 0.4));
    for (let y = 0; y <= 20; y++) {
      const sum = expected.reduce((total, one) => total + one[y], 0);
      // Chance has an SD near 1,500 m a year: four standard errors of 4,000 draws, and 0.5 % for shared renewal curves.
      expect(Math.abs(found[y] - sum)).toBeLessThan(95 + 0.005 * sum);
    }
  });

  test('with long lives known exactly chance leaves a binomial spread', () => {
    const lines: Line[] = Array.from({ length: 400 }, () => ({ eta: 2.5, sound: 8, now: 8, lengthM: 50 }));
    const input = inputOf(lines);
    const values = new DueGroupRun(input, drawsOf(3000, 0.3), 'weibull', byRule(input, 3000, 0.3)).run(
      lines.map((_, i) => i),
    );
    const year0 = Float64Array.from({ length: 3000 }, (_, d) => values[d * 21]);
    const p = expectedLength({ ...lines[0], lengthM: 1 }, 0.3)[0];
    const mean = year0.reduce((sum, x) => sum + x, 0) / 3000;
    const variance = year0.reduce((sum, x) => sum + (x - mean) ** 2, 0) / 3000;
    expect(Math.abs(mean / (400 * 50 * p) - 1)).toBeLessThan(0.02);
    expect(Math.abs(variance / (400 * 50 ** 2 * p * (1 - p)) - 1)).toBeLessThan(0.12);
  });

  test('segments known to have failed fall due in the planning year, whole', () => {
    const lines = [3, 4, 5].map((failed) => ({ eta: 5, sound: failed - 1, now: 8, failed, lengthM: 200 }));
    const due = fallsDue(inputOf(lines), drawsOf(50, 0.2), 'weibull', OPTIONS);
    expect(due.totals[0].lengthM).toEqual({ median: 600, lower: 600, upper: 600 });
    expect(due.totals[1].lengthM.upper).toBeLessThan(1);
  });

  test('the same seed gives the same numbers, another seed others, and order of segments does not matter', () => {
    const draws = drawsOf(60, 0.4);
    const due = fallsDue(inputOf(network), draws, 'weibull', OPTIONS);
    expect(fallsDue(inputOf(network), draws, 'weibull', OPTIONS)).toEqual(due);
    expect(fallsDue(inputOf(network), draws, 'weibull', { ...OPTIONS, seed: 8 })).not.toEqual(due);
    const reversed = fallsDue(inputOf([...network].reverse()), draws, 'weibull', OPTIONS);
    reversed.totals.forEach((row, y) => {
      expect(row.lengthM.median).toBeCloseTo(due.totals[y].lengthM.median, 4);
    });
  });

  test('rows run over districts, classes and years; intervals are in order; nothing is NaN or negative', () => {
    const due = fallsDue(inputOf(network), drawsOf(80, 0.4), 'weibull', OPTIONS);
    expect(due.rows).toHaveLength(3 * 2 * 21);
    expect(due.districtTotals).toHaveLength(3 * 21);
    expect(due.classTotals).toHaveLength(2 * 21);
    expect(due.years[0]).toBe(2026);
    for (const { lengthM, cost } of [...due.rows, ...due.totals])
      for (const { lower, median, upper } of [lengthM, cost]) {
        expect(lower).toBeGreaterThanOrEqual(0);
        expect(median).toBeGreaterThanOrEqual(lower);
        expect(upper).toBeGreaterThanOrEqual(median);
      }
  });

  test('escalation raises cost from the price year, discounting lowers present value, no price means no cost', () => {
    const draws = drawsOf(50, 0.4);
    const plain = fallsDue(inputOf(network), draws, 'weibull', OPTIONS);
    expect(plain.totals[3].cost.median).toBeCloseTo(5 * plain.totals[3].lengthM.median, 6);
    expect(plain.overall.presentValue).toEqual(plain.overall.cost);
    const dearer = fallsDue(inputOf(network), draws, 'weibull', {
      ...OPTIONS,
      escalationPerYear: 0.03,
      discountRatePerYear: 0.04,
    });
    // 2029 is five years after the price year.
    expect(dearer.totals[3].cost.median).toBeCloseTo(plain.totals[3].cost.median * 1.03 ** 5, 6);
    expect(dearer.overall.presentValue.median).toBeLessThan(dearer.overall.cost.median);
    const unpriced = fallsDue(
      inputOf(network.map((line) => ({ ...line, costPerM: Number.NaN }))),
      draws,
      'weibull',
      OPTIONS,
    );
    expect(unpriced.overall.cost.upper).toBe(0);
    expect(unpriced.unpricedLengthM).toBeGreaterThan(0);
  });
});

describe('chance', () => {
  test('gamma draws have the mean and variance asked for, also far below shape 1', () => {
    const random = seededRandom(3);
    for (const [mean, variance] of [
      [10, 4],
      [2, 40],
      [5, 5],
    ]) {
      const values = Float64Array.from({ length: 200_000 }, () => gammaDraw(mean, variance, random));
      const found = values.reduce((sum, x) => sum + x, 0) / values.length;
      const spread = values.reduce((sum, x) => sum + (x - found) ** 2, 0) / values.length;
      expect(Math.abs(found / mean - 1)).toBeLessThan(0.03);
      expect(Math.abs(spread / variance - 1)).toBeLessThan(0.06);
    }
    expect(gammaDraw(0, 5, random)).toBe(0);
    expect(gammaDraw(7, 0, random)).toBe(7);
  });

  test('percentiles interpolate between order statistics', () => {
    expect(intervalOf(Float64Array.from({ length: 11 }, (_, i) => 10 - i))).toEqual({ lower: 1, median: 5, upper: 9 });
  });
});
