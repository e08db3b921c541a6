import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ageGrid, segmentAgesInto } from '../../../../analytics/forecast/age-grid.ts';
import { type DamageRule, damagePointer, damageWeightsInto } from '../../../../analytics/forecast/damage-rule.ts';
import { forecastSegments, type SegmentKnowledge } from '../../../../analytics/forecast/forecast-segments.ts';
import { standardHazard, standardSurvival, survivalTable } from '../../../../analytics/forecast/standard-life.ts';
import type { Family, PosteriorDraws } from '../../../../analytics/survival/aft.ts';

const FAMILIES: readonly Family[] = ['weibull', 'lognormal', 'loglogistic', 'exponential'];
const RULE: DamageRule = { exponent: 3, logSd: 0.4, pairs: 0 };
const OPTIONS = { yearLeft: 0.5, horizonYears: 20, failureThresholdShare: 0.1, damageRule: null };

interface One {
  readonly row: readonly number[];
  readonly sound: number;
  readonly now: number;
  readonly failed?: number;
  readonly share?: number;
}
const knowledge = (list: readonly One[]): SegmentKnowledge => ({
  count: list.length,
  covariates: Float64Array.from(list.flatMap((one) => one.row)),
  soundAgeYears: Float64Array.from(list, (one) => one.sound),
  planningAgeYears: Float64Array.from(list, (one) => one.now),
  foundFailedAgeYears: Float64Array.from(list, (one) => one.failed ?? Number.NaN),
  damageShare: Float64Array.from(list, (one) => one.share ?? Number.NaN),
});
const drawsOf = (coefficients: readonly (readonly number[])[], scale: readonly number[]): PosteriorDraws => ({
  draws: scale.length,
  coefficients: Float64Array.from(coefficients.flat()),
  scale: Float64Array.from(scale),
  effectiveSampleSize: scale.length,
  paretoK: 0,
});

/** The form to read: survival at an age given soundness at another, averaged over draws. */
function meanSurvival(family: Family, draws: PosteriorDraws, row: readonly number[], sound: number, age: number) {
  let sum = 0;
  for (let d = 0; d < draws.draws; d++) {
    const eta = row.reduce((total, x, k) => total + x * draws.coefficients[d * row.length + k], 0);
    const hazard = (t: number) => standardHazard(family, (Math.log(t) - eta) / draws.scale[d]);
    sum += Math.exp(hazard(sound) - hazard(age));
  }
  return sum / draws.draws;
}

describe('the standard life', () => {
  test('survival and cumulative hazard agree, and the table agrees with both to 3e-7', () => {
    for (const family of FAMILIES) {
      const table = survivalTable(family);
      for (let z = -8; z <= 3; z += 0.137) {
        const exact = standardSurvival(family, z);
        expect(Math.exp(-standardHazard(family, z))).toBeCloseTo(exact, 12);
        const at = (z - table.fromZ) * table.perUnit;
        const cell = Math.floor(at);
        if (cell < 0 || cell > table.lastCell) continue;
        const read = table.values[cell] + (at - cell) * (table.values[cell + 1] - table.values[cell]);
        expect(Math.abs(read - exact)).toBeLessThan(3e-7);
      }
    }
  });

  test('published conditional survival of a Weibull(606.528, 1.7208)', () => {
    // NIST/SEMATECH e-Handbook 8.4.1.3 parameters; P(T > 300 | 200), P(> 500 | 400), P(> 600 | 500) recomputed from them.
    const hazard = (t: number) => standardHazard('weibull', (Math.log(t) - Math.log(606.52756)) * 1.7207973);
    const given = (t: number, c: number) => Math.exp(hazard(c) - hazard(t));
    expect([given(300, 200), given(500, 400), given(600, 500)].map((p) => p.toFixed(6))).toEqual([
      '0.861076',
      '0.795571',
      '0.767726',
    ]);
  });
});

describe('forecast of segments', () => {
  test('five-year failure probabilities of a Weibull(3, 18) at ages 0, 10 and 20', () => {
    // By arithmetic to 12 digits: 1 - exp((c/18)^3 - ((c + 5)/18)^3).
    const draws = drawsOf([[Math.log(18)]], [1 / 3]);
    const ages = [0, 10, 20];
    const forecast = forecastSegments(
      knowledge(ages.map((age) => ({ row: [1], sound: age, now: age }))),
      draws,
      'weibull',
      { ...OPTIONS, yearLeft: 1 },
    );
    const expected = [0.0212054059894, 0.334512843025, 0.729488779499];
    expected.forEach((p, i) => {
      expect(Math.abs(forecast.failedByYearEnd[i * 21 + 4] - p)).toBeLessThan(1e-5);
    });
    // Median residual life 15.929946801, 7.14799774558, 2.92123933324 years: interpolated, to 0.01 year.
    [15.929946801, 7.14799774558, 2.92123933324].forEach((years, i) => {
      expect(Math.abs(forecast.medianYears[i] - years)).toBeLessThan(0.01);
    });
  });

  const one = fc.record({
    x: fc.double({ min: -2, max: 2, noNaN: true }),
    sound: fc.double({ min: 0, max: 25, noNaN: true }),
    gap: fc.double({ min: 0, max: 10, noNaN: true }),
  });
  const draw = fc.record({
    mu: fc.double({ min: 1.2, max: 3.5, noNaN: true }),
    slope: fc.double({ min: -0.4, max: 0.4, noNaN: true }),
    sigma: fc.double({ min: 0.2, max: 0.9, noNaN: true }),
  });

  test('the kernel agrees with the scalar form to 1e-5', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...FAMILIES),
        fc.array(one, { minLength: 1, maxLength: 6 }),
        fc.array(draw, { minLength: 1, maxLength: 8 }),
        (family, list, drawList) => {
          const draws = drawsOf(
            drawList.map(({ mu, slope }) => [mu, slope]),
            drawList.map(({ sigma }) => sigma),
          );
          const segments = list.map(({ x, sound, gap }) => ({ row: [1, x], sound, now: sound + gap }));
          const out = forecastSegments(knowledge(segments), draws, family, OPTIONS);
          segments.forEach(({ row, sound, now }, i) => {
            expect(Math.abs(1 - meanSurvival(family, draws, row, sound, now) - out.failedNow[i])).toBeLessThan(1e-5);
            for (let y = 0; y <= 20; y++) {
              const expected = 1 - meanSurvival(family, draws, row, sound, now + 0.5 + y);
              expect(Math.abs(out.failedByYearEnd[i * 21 + y] - expected)).toBeLessThan(1e-5);
            }
          });
        },
      ),
      { seed: 4, numRuns: 150 },
    );
  });

  test('failure never becomes less likely, and quantiles are found to 0.15 years within the horizon', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...FAMILIES),
        one,
        fc.array(draw, { minLength: 1, maxLength: 5 }),
        (family, s, list) => {
          const draws = drawsOf(
            list.map(({ mu, slope }) => [mu, slope]),
            list.map(({ sigma }) => sigma),
          );
          const now = s.sound + s.gap;
          const out = forecastSegments(knowledge([{ row: [1, s.x], sound: s.sound, now }]), draws, family, OPTIONS);
          for (let y = 1; y <= 20; y++)
            expect(out.failedByYearEnd[y]).toBeGreaterThanOrEqual(out.failedByYearEnd[y - 1] - 1e-9);
          const quantiles = [out.lowerYears[0], out.medianYears[0], out.upperYears[0]];
          [0.1, 0.5, 0.9].forEach((share, q) => {
            if (Number.isNaN(quantiles[q])) {
              expect(1 - meanSurvival(family, draws, [1, s.x], s.sound, now + 100)).toBeLessThan(share + 1e-4);
            } else {
              expect(quantiles[q]).toBeGreaterThanOrEqual(-s.gap - 1e-9);
              let [low, high] = [0, s.gap + 101];
              for (let step = 0; step < 50; step++) {
                const middle = (low + high) / 2;
                if (1 - meanSurvival(family, draws, [1, s.x], s.sound, s.sound + middle) < share) low = middle;
                else high = middle;
              }
              // Points are a year apart to the horizon, a quarter of the gap before it, up to 20 years apart beyond.
              // Between the peaks of a two-peaked mixture the curve is flat: there the share counts, not the date.
              const exact = low - s.gap;
              const tolerance = 0.15 + 0.03 * s.gap + 0.02 * Math.max(0, exact - 20);
              const reached = 1 - meanSurvival(family, draws, [1, s.x], s.sound, now + quantiles[q]);
              if (Math.abs(reached - share) > 0.01) expect(Math.abs(quantiles[q] - exact)).toBeLessThan(tolerance);
            }
          });
        },
      ),
      { seed: 5, numRuns: 300 },
    );
  });

  test('a seal known to have failed has probability 1 and a failure date between its two looks', () => {
    const draws = drawsOf([[Math.log(12)]], [0.4]);
    const out = forecastSegments(knowledge([{ row: [1], sound: 4, now: 9, failed: 6 }]), draws, 'weibull', OPTIONS);
    expect([...out.failedByYearEnd]).toEqual(Array(21).fill(1));
    expect([out.failedNow[0], out.lowerYears[0], out.medianYears[0], out.upperYears[0]]).toEqual([1, -4.8, -4, -3.2]);
  });

  test('a life far beyond 100 years has no quantile within reach', () => {
    const draws = drawsOf([[Math.log(1000)]], [0.2]);
    const out = forecastSegments(knowledge([{ row: [1], sound: 1, now: 2 }]), draws, 'weibull', OPTIONS);
    expect([out.lowerYears[0], out.medianYears[0], out.upperYears[0]]).toEqual([Number.NaN, Number.NaN, Number.NaN]);
  });

  test('arrays of the wrong length are refused by name', () => {
    const broken = { ...knowledge([{ row: [1], sound: 1, now: 2 }]), damageShare: new Float64Array(2) };
    expect(() => forecastSegments(broken, drawsOf([[1]], [1]), 'weibull', OPTIONS)).toThrow(/damageShare has 2/);
  });
});

describe('damage evidence', () => {
  const draws = drawsOf([[Math.log(14)], [Math.log(11)]], [0.4, 0.35]);
  const withRule = { ...OPTIONS, damageRule: RULE };
  const failedBy = (share: number | undefined, year: number) =>
    forecastSegments(knowledge([{ row: [1], sound: 6, now: 7, share }]), draws, 'weibull', withRule).failedByYearEnd[
      year
    ];

  test('more damage at the same age means an earlier failure; none at all changes nothing', () => {
    expect(failedBy(0.08, 3)).toBeGreaterThan(failedBy(0.04, 3));
    expect(failedBy(0.04, 3)).toBeGreaterThan(failedBy(0.002, 3));
    expect(failedBy(0, 3)).toBe(failedBy(undefined, 3));
  });

  test('the posterior agrees with fine quadrature of density x pointer', () => {
    for (const share of [0.01, 0.05, 0.09]) {
      const pointer = damagePointer(6, share, 0.1, RULE);
      const until = 7 + 0.5 + 4;
      let shareFailed = 0;
      for (let d = 0; d < 2; d++) {
        const hazard = (t: number) => standardHazard('weibull', (Math.log(t) - draws.coefficients[d]) / draws.scale[d]);
        let [inside, total] = [0, 0];
        for (let t = 6; t < 200; t += 0.002) {
          const mass = Math.exp(-hazard(t)) - Math.exp(-hazard(t + 0.002));
          const weight = mass * Math.exp(-0.5 * ((Math.log(t + 0.001) - pointer) / RULE.logSd) ** 2);
          total += weight;
          if (t < until) inside += weight;
        }
        shareFailed += inside / total / 2;
      }
      // Cells are a year wide and hold their mass as if spread evenly.
      expect(Math.abs(failedBy(share, 4) - shareFailed)).toBeLessThan(2e-3);
    }
  });

  test('the kernel agrees with the scalar form on the same cells to 1e-5', () => {
    const grid = ageGrid(0.5, 20);
    const ages = new Float64Array(grid.length);
    segmentAgesInto(ages, grid, 6, 7);
    const weights = new Float64Array(grid.length + 1);
    damageWeightsInto(weights, ages, 0, ages.length, 6, damagePointer(6, 0.05, 0.1, RULE), RULE.logSd);
    for (let y = 0; y <= 20; y++) {
      let failed = 0;
      for (let d = 0; d < 2; d++) {
        const hazard = (t: number) => standardHazard('weibull', (Math.log(t) - draws.coefficients[d]) / draws.scale[d]);
        const survival = [1, ...Array.from(ages, (t) => Math.exp(hazard(6) - hazard(t))), 0];
        const masses = Array.from(weights, (w, j) => w * (survival[j] - survival[j + 1]));
        const total = masses.reduce((sum, mass) => sum + mass, 0);
        failed += masses.slice(0, grid.nowAt + 2 + y).reduce((sum, mass) => sum + mass, 0) / total / 2;
      }
      expect(Math.abs(failedBy(0.05, y) - failed)).toBeLessThan(1e-5);
    }
  });
});
