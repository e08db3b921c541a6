import { describe, expect, test } from 'vitest';
import type { FallsDueInput } from '../../../../analytics/forecast/falls-due.ts';
import { DueGroupRun } from '../../../../analytics/forecast/falls-due-cells.ts';
import { RuleFirstFailures } from '../../../../analytics/forecast/first-failures.ts';
import { ShockedFailures, yearShocks } from '../../../../analytics/forecast/year-shocks.ts';
import type { PosteriorDraws } from '../../../../analytics/survival/aft.ts';
import { fallsDue } from './falls-due-of.ts';
import { withYears } from './with-years.ts';

const DRAWS = 4000;
const YEARS = 11;
const OPTIONS = { yearLeft: 1, horizonYears: YEARS - 1, failureThresholdShare: 0.1, damageRule: null };
const certainDraws = (draws: number): PosteriorDraws => ({
  draws,
  coefficients: new Float64Array(draws).fill(1),
  scale: new Float64Array(draws).fill(0.4),
  effectiveSampleSize: draws,
  paretoK: 0,
});
const certain = certainDraws(DRAWS);
const SD = 0.4;
/** Of the gamma multiplier: as variable, for its mean, as a log-normal of that SD. */
const SHAPE = 1 / Math.expm1(SD ** 2);
const shocks = yearShocks(new Float64Array(DRAWS).fill(SD), { horizonYears: YEARS - 1, seed: 3 });

/** Like segments, all of the same age, and seen sound so many years ago. */
const network = (count: number, unseenYears = 0): FallsDueInput => ({
  count,
  covariates: new Float64Array(count).fill(2.5),
  soundAgeYears: new Float64Array(count).fill(8 - unseenYears),
  planningAgeYears: new Float64Array(count).fill(8),
  foundFailedAgeYears: new Float64Array(count).fill(Number.NaN),
  damageShare: new Float64Array(count).fill(Number.NaN),
  lengthM: new Float64Array(count).fill(10),
  district: new Int32Array(count),
  sealantClass: new Int32Array(count),
  costPerM: new Float64Array(count).fill(5),
});
const hazardBy = (age: number): number => (age / Math.exp(2.5)) ** 2.5;

interface Moments {
  readonly mean: number;
  readonly variance: number;
}
function momentsOf(values: ArrayLike<number>): Moments {
  let [sum, squares] = [0, 0];
  for (let d = 0; d < values.length; d++) sum += values[d] / values.length;
  for (let d = 0; d < values.length; d++) squares += (values[d] - sum) ** 2 / values.length;
  return { mean: sum, variance: squares };
}

/**
 * By hand, for m gamma with mean 1 and shape k, and g = k (exp(h / k) - 1): E exp(-m g) = (1 + g / k)^-k = exp(-h), and
 * E exp(-2 m g) = (1 + 2 g / k)^-k.
 */
function survivalMoments(hazards: readonly number[], shapes: readonly number[]): Moments {
  let [mean, square] = [1, 1];
  for (const [y, h] of hazards.entries()) {
    const g = shapes[y] * Math.expm1(h / shapes[y]);
    mean *= (1 + g / shapes[y]) ** -shapes[y];
    square *= (1 + (2 * g) / shapes[y]) ** -shapes[y];
  }
  return { mean, variance: square - mean ** 2 };
}

test('multipliers of a year are spread over the gamma distribution: R 4, qgamma(p, k, k) for an SD of 0.4 and 0.07', () => {
  const limits = [
    // Shapes 1 / (exp(sd²) - 1).
    { sd: Math.sqrt(Math.log1p(1 / 6.25)), of: [0.5337024724, 0.7094398189, 0.9472021759, 1.2332305271, 1.5345611603] },
    { sd: Math.sqrt(Math.log1p(1 / 204)), of: [0.9113884249, 0.9519281029, 0.9983664886, 1.0462913682, 1.0907106243] },
  ];
  const draws = 200;
  for (const { sd, of } of limits) {
    const { ahead, width } = yearShocks(new Float64Array(draws).fill(sd), { horizonYears: 4, seed: 1 });
    for (let y = 0; y < width; y++) {
      const year = Float64Array.from({ length: draws }, (_, d) => ahead[d * width + y]).sort();
      for (const [k, share] of [0.1, 0.25, 0.5, 0.75, 0.9].entries()) {
        const found = (year[share * draws - 1] + year[share * draws]) / 2;
        expect(Math.abs(found - of[k])).toBeLessThan(0.005);
      }
    }
    // Years do not go together.
    const products = Array.from({ length: draws }, (_, d) => (ahead[d * width] - 1) * (ahead[d * width + 1] - 1));
    const correlation = products.reduce((sum, product) => sum + product, 0) / draws / Math.expm1(sd * sd);
    expect(Math.abs(correlation)).toBeLessThan(3 / Math.sqrt(draws));
  }
});

describe('chances of one seal', () => {
  for (const unseen of [0, 3])
    test(`keep their mean, and share the variance of closed form, after ${unseen} years unseen`, () => {
      const known = network(1, unseen);
      const first = withYears(new RuleFirstFailures(known, certain, 'weibull', OPTIONS), known, shocks, OPTIONS);
      const byYear = Array.from({ length: YEARS }, () => new Float64Array(DRAWS));
      first.eachDraw(0, (d, _eta, failed, share, at) => {
        for (let y = 0; y < YEARS; y++) byYear[y][d] = failed[at + y] * share;
      });
      // Unseen years and the planning year: the mean of so many independent multipliers has so many times the shape.
      const hazards = Array.from({ length: YEARS }, (_, y) =>
        y === 0 ? hazardBy(9) - hazardBy(8 - unseen) : hazardBy(9 + y) - hazardBy(8 + y),
      );
      const shapes = hazards.map((_, y) => (y === 0 ? SHAPE * (1 + unseen) : SHAPE));
      for (let y = 0; y < YEARS; y++) {
        const expected = survivalMoments(hazards.slice(0, y + 1), shapes);
        const found = momentsOf(byYear[y]);
        expect(expected.mean).toBeCloseTo(Math.exp(hazardBy(8 - unseen) - hazardBy(9 + y)), 12);
        // 4,000 draws: three and a half standard errors of the mean, and 10 % of a variance. The table of lives is good to 1e-5.
        expect(Math.abs(found.mean - (1 - expected.mean))).toBeLessThan(
          3.5 * Math.sqrt(expected.variance / DRAWS) + 2e-5,
        );
        expect(Math.abs(found.variance / expected.variance - 1)).toBeLessThan(0.1);
      }
    });

  test('reach a luck in the year in which they pass it', () => {
    const known = network(1, 2);
    const plain = new RuleFirstFailures(known, certain, 'weibull', OPTIONS);
    const inYears = withYears(plain, known, shocks, OPTIONS);
    const luck = (d: number) => (d + 0.5) / DRAWS;
    const expected: number[] = [];
    inYears.eachDraw(0, (d, _eta, failed, share, at) => {
      const year = failed.slice(at, at + YEARS).findIndex((chance) => chance * share > luck(d));
      expected.push(year < 0 ? YEARS : year);
    });
    const found: number[] = [];
    const shocked = new ShockedFailures(shocks);
    shocked.turnTo(2 + OPTIONS.yearLeft);
    plain.eachDraw(0, (d, _eta, failed, share, at) => {
      found.push(shocked.yearOf(luck(d), d, failed, share, at, YEARS));
    });
    expect(found).toEqual(expected);
    expect(new Set(found).size).toBe(YEARS + 1);
  });

  test('of having failed by now keep their mean too', () => {
    const known = network(1, 2.5);
    const options = { ...OPTIONS, yearLeft: 0.4 };
    const first = withYears(new RuleFirstFailures(known, certain, 'weibull', options), known, shocks, options);
    const { mean, variance } = momentsOf(first.failedNowOf(0));
    expect(variance).toBeGreaterThan(0);
    // Part years weigh unevenly, which the closed form leaves out: a percent.
    expect(Math.abs(mean / (1 - Math.exp(hazardBy(5.5) - hazardBy(8))) - 1)).toBeLessThan(0.02);
  });
});

describe('what falls due', () => {
  const dueOf = (count: number, years: typeof shocks | null) => {
    const known = network(count);
    const firstFailures = new RuleFirstFailures(known, certain, 'weibull', OPTIONS);
    const options = { ...OPTIONS, seed: 5, firstFailures, yearShocks: years };
    const members = Array.from({ length: count }, (_, i) => i);
    const values = new DueGroupRun(known, certain, 'weibull', options).run(members);
    return Array.from({ length: YEARS }, (_, y) =>
      momentsOf(Float64Array.from({ length: DRAWS }, (_, d) => values[d * YEARS + y])),
    );
  };

  test('has the variance of years and of chance together: the first does not average out', () => {
    const count = 250;
    const [found] = dueOf(count, shocks);
    const h = hazardBy(9) - hazardBy(8);
    const { mean, variance } = survivalMoments([h], [SHAPE]);
    const p = 1 - mean;
    // Law of total variance: sum of L² (p - E p²) for chance, (sum of L)² Var p for the year.
    const chance = count * 100 * (p - variance - p * p);
    const shared = (count * 10) ** 2 * variance;
    expect(shared).toBeGreaterThan(3 * chance);
    expect(Math.abs(found.mean / (count * 10 * p) - 1)).toBeLessThan(0.025);
    expect(Math.abs(found.variance / (chance + shared) - 1)).toBeLessThan(0.1);
  });

  test('has the same mean as in average years, renewals with it', () => {
    const [average, differing] = [dueOf(120, null), dueOf(120, shocks)];
    for (let y = 0; y < YEARS; y++) {
      expect(Math.abs(differing[y].mean / average[y].mean - 1)).toBeLessThan(0.03);
      expect(differing[y].variance).toBeGreaterThan(average[y].variance);
    }
  });

  test('is as without where years hardly differ', () => {
    const [average, hardly] = [
      dueOf(120, null),
      dueOf(120, yearShocks(new Float64Array(DRAWS).fill(1e-4), { horizonYears: YEARS - 1, seed: 3 })),
    ];
    for (let y = 0; y < YEARS; y++) {
      expect(Math.abs(hardly[y].mean / average[y].mean - 1)).toBeLessThan(1e-3);
      expect(Math.abs(hardly[y].variance / average[y].variance - 1)).toBeLessThan(1e-2);
    }
  });

  test('is the same numbers again', () => {
    const again = (seed: number) =>
      fallsDue(network(30, 2), certainDraws(50), 'weibull', {
        ...{ ...OPTIONS, planningYear: 2026, priceYear: 2026, escalationPerYear: 0, discountRatePerYear: 0, seed: 1 },
        yearShocks: yearShocks(new Float64Array(50).fill(SD), { horizonYears: YEARS - 1, seed }),
      });
    expect(again(2)).toEqual(again(2));
    expect(again(2)).not.toEqual(again(4));
  });
});
