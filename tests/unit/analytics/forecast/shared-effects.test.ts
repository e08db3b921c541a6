import { describe, expect, test } from 'vitest';
import { intervalOf } from '../../../../analytics/forecast/draw-table.ts';
import type { FallsDueInput, FallsDueOptions } from '../../../../analytics/forecast/falls-due.ts';
import { RuleFirstFailures } from '../../../../analytics/forecast/first-failures.ts';
import { forecastSegments } from '../../../../analytics/forecast/forecast-segments.ts';
import { newLives } from '../../../../analytics/forecast/new-lives.ts';
import { segmentCurve } from '../../../../analytics/forecast/segment-curve.ts';
import { effectsOfSome, newSealEffects, type SharedEffects } from '../../../../analytics/forecast/shared-effects.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import type { PosteriorDraws } from '../../../../analytics/survival/aft.ts';
import { fallsDue } from './falls-due-of.ts';

const DRAWS = 200;
const SEGMENTS = 400;
const LOTS = 20;
const OPTIONS: FallsDueOptions = {
  ...{ yearLeft: 0.4, horizonYears: 20, failureThresholdShare: 0.1, damageRule: null, planningYear: 2026 },
  ...{ priceYear: 2026, escalationPerYear: 0, discountRatePerYear: 0, seed: 7 },
};

/** Coefficient `eta` in every draw: what moves is the effects alone. */
const drawsAt = (eta: number): PosteriorDraws => ({
  draws: DRAWS,
  coefficients: new Float64Array(DRAWS).fill(eta),
  scale: new Float64Array(DRAWS).fill(0.4),
  effectiveSampleSize: DRAWS,
  paretoK: 0,
});

const random = seededRandom(11);
const effectsOf = (levels: number, sd: number) =>
  Float32Array.from({ length: levels * DRAWS }, () => sd * random.normal());
/** Levels taken in turn by the segments. */
const sharedBy = (
  levels: number,
  effects: Float32Array,
  ofSeal: boolean,
  newSealSd: number | null = null,
): SharedEffects => ({
  groupings: [{ effects, ofSeal }],
  level: Int32Array.from({ length: SEGMENTS }, (_, i) => i % levels),
  newSealSd: newSealSd === null ? null : new Float64Array(DRAWS).fill(newSealSd),
});

const input = (shared?: SharedEffects | null): FallsDueInput => ({
  count: SEGMENTS,
  covariates: new Float64Array(SEGMENTS).fill(1),
  soundAgeYears: Float64Array.from({ length: SEGMENTS }, (_, i) => i % 9),
  planningAgeYears: Float64Array.from({ length: SEGMENTS }, (_, i) => (i % 9) + 1),
  foundFailedAgeYears: new Float64Array(SEGMENTS).fill(Number.NaN),
  damageShare: new Float64Array(SEGMENTS).fill(Number.NaN),
  lengthM: new Float64Array(SEGMENTS).fill(100),
  district: new Int32Array(SEGMENTS),
  sealantClass: new Int32Array(SEGMENTS),
  costPerM: new Float64Array(SEGMENTS).fill(5),
  ...(shared === undefined ? {} : { shared }),
});

const dueOf = (shared?: SharedEffects | null, eta = 2.4) => fallsDue(input(shared), drawsAt(eta), 'weibull', OPTIONS);
const widthOf = ({ upper, lower }: { readonly upper: number; readonly lower: number }) => upper - lower;

describe('effects that segments share', () => {
  test('no effects are as none, byte for byte', () => {
    const plain = JSON.stringify(dueOf());
    expect(JSON.stringify(dueOf(null))).toBe(plain);
    const zeros = sharedBy(LOTS, new Float32Array(LOTS * DRAWS), false);
    expect(JSON.stringify(dueOf(zeros))).toBe(plain);
    const forecast = (shared?: SharedEffects) => forecastSegments(input(shared), drawsAt(2.4), 'weibull', OPTIONS);
    expect(forecast(zeros)).toEqual(forecast());
  });

  test('one effect on all, the same in every draw, is a coefficient that is higher by it', () => {
    // 0.25 is a short binary fraction, so nothing is rounded.
    const shared = sharedBy(1, new Float32Array(DRAWS).fill(0.25), false);
    expect(dueOf(shared, 2.25)).toEqual(dueOf(undefined, 2.5));
    const curve = (effects: SharedEffects | null, eta: number) =>
      segmentCurve({ row: [1], soundAgeYears: 3, agesYears: [4, 8], shared: effects }, drawsAt(eta), 'weibull');
    expect(curve(shared, 2.25)).toEqual(curve(null, 2.5));
    const lives = (effects: SharedEffects | null, eta: number) =>
      newLives(new Float64Array(SEGMENTS).fill(1), drawsAt(eta), 'weibull', 60, effects);
    const [with_, without] = [lives(shared, 2.25), lives(null, 2.5)];
    expect(with_.failedByAge).toEqual(without.failedByAge);
  });

  test('the fewer levels share them, the wider totals are, never narrower than for independent seals', () => {
    const independent = dueOf();
    const widths = [SEGMENTS, 40, 4].map((levels) => dueOf(sharedBy(levels, effectsOf(levels, 0.2), false)));
    const all = [independent, ...widths].map(({ overall }) => widthOf(overall.lengthM));
    for (let k = 1; k < all.length; k++) expect(all[k]).toBeGreaterThan(all[k - 1] * 0.95);
    expect(all[3]).toBeGreaterThan(2 * all[0]);
    for (const [y, { lengthM }] of independent.totals.entries())
      expect(widthOf(widths[2].totals[y].lengthM)).toBeGreaterThan(0.8 * widthOf(lengthM));
  });

  test('an effect of the seal goes with it: a new seal is of another lot', () => {
    // All lots in place last half as long; those to come are average.
    const short = sharedBy(LOTS, new Float32Array(LOTS * DRAWS).fill(-0.5), true, 0);
    const first = new RuleFirstFailures(input(short), drawsAt(2.4), 'weibull', OPTIONS);
    expect([...first.etasOf(0)]).toEqual([...new Float64Array(DRAWS).fill(2.4)]);
    const now = first.failedNowOf(8)[0];
    const shorter = new RuleFirstFailures(input(), drawsAt(1.9), 'weibull', OPTIONS);
    expect(now).toBe(shorter.failedNowOf(8)[0]);
    const place = sharedBy(LOTS, new Float32Array(LOTS * DRAWS).fill(-0.5), false);
    // Seals that fail early for good come back sooner than those whose successors are average.
    expect(dueOf(short).overall.lengthM.median).toBeLessThan(0.8 * dueOf(place).overall.lengthM.median);
    expect(dueOf(short).overall.lengthM.median).toBeGreaterThan(dueOf().overall.lengthM.median);
  });

  test('lots that are not laid yet widen what falls due after renewal', () => {
    const known = sharedBy(LOTS, new Float32Array(LOTS * DRAWS), true, 0);
    const unknown = sharedBy(LOTS, new Float32Array(LOTS * DRAWS), true, 0.4);
    const last = (shared: SharedEffects) => widthOf(dueOf(shared).totals[20].lengthM);
    expect(last(unknown)).toBeGreaterThan(1.3 * last(known));
    const effects = newSealEffects(unknown, 0, DRAWS);
    const { median, lower, upper } = intervalOf(Float64Array.from(effects));
    // 80 % of a normal distribution lie within 1.2816 standard deviations.
    expect(median).toBeCloseTo(0, 1);
    expect((upper - lower) / 2).toBeCloseTo(0.4 * 1.2816, 1);
  });

  test('some segments have the effects that they have among all', () => {
    const shared = sharedBy(7, effectsOf(7, 0.2), false);
    expect([...effectsOfSome(shared, [3, 8, 20]).level]).toEqual([3, 1, 6]);
  });
});
