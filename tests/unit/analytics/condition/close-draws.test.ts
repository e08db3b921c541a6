import fc from 'fast-check';
import { expect, test } from 'vitest';
import { LARGEST_ERROR } from '../../../../analytics/condition/close-draws.ts';
import type { ConditionDraws, GrowthDraws } from '../../../../analytics/condition/condition.ts';
import { ConditionFirstFailures } from '../../../../analytics/condition/condition-first-failures.ts';
import { forecastCondition } from '../../../../analytics/condition/forecast-condition.ts';
import { StandIns } from '../../../../analytics/condition/stand-ins.ts';
import { DRAWS, KNOWN, someDraws } from './known-segments.ts';

const OPTIONS = { yearLeft: 0.5, horizonYears: 20 };
type Draws = ConditionDraws & { readonly growth: GrowthDraws };

/** The same draws, nearer to their means by a factor, and with inspectors who are known a little better still. */
function drawnTogether(share: number): Draws {
  const draws = someDraws();
  const nearer = (values: Float64Array, width = 1): Float64Array =>
    values.map((value, at) => {
      const own = values.filter((_, k) => k % width === at % width);
      const mean = own.reduce((sum, each) => sum + each / own.length, 0);
      return mean + share * (value - mean);
    });
  const { growth } = draws;
  const shifts = growth.inspectorShift.map((shift, at) => shift + share * 0.05 * Math.sin(at * at));
  return {
    ...draws,
    coefficients: nearer(draws.coefficients, 2),
    scale: nearer(draws.scale),
    growth: {
      ...growth,
      exponent: nearer(growth.exponent),
      readingSd: nearer(growth.readingSd),
      inspectorShift: shifts,
    },
  };
}

/** Chances of a segment, draw by draw: now, then by year ends. */
function chancesOf(first: ConditionFirstFailures, i: number): number[][] {
  const out: number[][] = [];
  first.eachDraw(i, (_d, _eta, failed, share, at) => {
    out.push(Array.from({ length: 21 }, (_, y) => failed[at + y] * share));
  });
  const now = first.failedNowOf(i);
  return out.map((ends, d) => [now[d], ...ends]);
}

test('under points and weights a function quadratic in mu and linear in all else is itself, draw by draw', () => {
  const draws = drawnTogether(1);
  const number = fc.double({ min: -3, max: 3, noNaN: true });
  fc.assert(
    fc.property(fc.array(number, { minLength: 8, maxLength: 8 }), fc.integer({ min: 0, max: 1000 }), (a, seed) => {
      const mus = Float64Array.from({ length: DRAWS }, (_, d) => 2 + Math.sin(d * d + seed));
      const standIns = new StandIns(draws, draws.growth);
      standIns.turnTo(mus, [1, 0]);
      const valueAt = (mu: number, sigma: number, exponent: number, readingSd: number, shift: Float64Array): number =>
        a[0] +
        a[1] * mu +
        a[2] * mu * mu +
        a[3] * sigma +
        a[4] * exponent +
        a[5] * readingSd +
        a[6] * shift[0] +
        a[7] * shift[1];
      const values = standIns.points
        .slice(0, standIns.count)
        .map(({ mu, point: { sigma, exponent, readingSd, shift } }) => valueAt(mu, sigma, exponent, readingSd, shift));
      for (let d = 0; d < DRAWS; d++) {
        let found = values[0];
        for (let k = 1; k < standIns.count; k++) found += standIns.weights[k][d] * (values[k] - values[0]);
        const { exponent, readingSd, inspectorShift } = draws.growth;
        const shift = inspectorShift.subarray(2 * d, 2 * d + 2);
        expect(found).toBeCloseTo(valueAt(mus[d], draws.scale[d], exponent[d], readingSd[d], shift), 9);
      }
    }),
    { seed: 1, numRuns: 50 },
  );
});

test('draws that lie close together have the chances that each has alone, near enough, and the same mean', () => {
  for (const share of [0.05, 0.1, 0.2]) {
    const draws = drawnTogether(share);
    const each = new ConditionFirstFailures(KNOWN, draws, 'weibull', OPTIONS);
    const close = new ConditionFirstFailures(KNOWN, draws, 'weibull', { ...OPTIONS, closeDraws: true });
    for (let i = 0; i < 4; i++) {
      const truth = chancesOf(each, i);
      const found = chancesOf(close, i);
      for (let d = 0; d < DRAWS; d++) {
        found[d].forEach((chance, y) => {
          expect(Math.abs(chance - truth[d][y])).toBeLessThan(2 * LARGEST_ERROR);
          expect(chance).toBeGreaterThanOrEqual(y === 0 ? 0 : found[d][y - 1]);
          expect(chance).toBeLessThanOrEqual(1);
        });
      }
    }
    const alone = forecastCondition(KNOWN, draws, 'weibull', OPTIONS);
    const made = forecastCondition(KNOWN, draws, 'weibull', OPTIONS, undefined, close.before);
    made.failedByYearEnd.forEach((chance, k) => {
      expect(Math.abs(chance - alone.failedByYearEnd[k])).toBeLessThan(2e-4);
    });
    made.medianYears.forEach((years, i) => {
      expect(Math.abs(years - alone.medianYears[i])).toBeLessThan(0.01);
    });
  }
});

test('stand-ins are in use for close draws, and given up where draws lie far apart: each is asked then', () => {
  const differs = (share: number): boolean[] => {
    const draws = drawnTogether(share);
    const each = new ConditionFirstFailures(KNOWN, draws, 'weibull', OPTIONS);
    const close = new ConditionFirstFailures(KNOWN, draws, 'weibull', { ...OPTIONS, closeDraws: true });
    return [0, 1, 3].map((i) => JSON.stringify(chancesOf(each, i)) !== JSON.stringify(chancesOf(close, i)));
  };
  expect(differs(0.1)).toEqual([true, true, true]);
  expect(differs(2)).toEqual([false, false, false]);
});

test('draws that are all the same need no more than their one point', () => {
  const draws = drawnTogether(0);
  const each = new ConditionFirstFailures(KNOWN, draws, 'weibull', OPTIONS);
  const close = new ConditionFirstFailures(KNOWN, draws, 'weibull', { ...OPTIONS, closeDraws: true });
  for (const i of [0, 1, 3]) {
    const truth = chancesOf(each, i);
    chancesOf(close, i).forEach((chances, d) => {
      chances.forEach((chance, y) => {
        expect(chance).toBeCloseTo(truth[d][y], 9);
      });
    });
  }
});
