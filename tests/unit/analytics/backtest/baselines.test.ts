import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { backtestTrials } from '../../../../analytics/backtest/backtest-trials.ts';
import { baselineForecasts } from '../../../../analytics/backtest/baselines.ts';
import { classLifeCurve, curveFailure } from '../../../../analytics/backtest/class-life-curve.ts';
import { isotonicShares, sharesEachSide, softShare } from '../../../../analytics/backtest/learnt-shares.ts';
import { meanChances } from '../../../../analytics/backtest/trial-forecast.ts';
import type { TrialHistory } from '../../../../analytics/backtest/trial-history.ts';

describe('shares learnt from past looks', () => {
  test('each side of the limit has its own share, softened by half a failure and half a survival', () => {
    // Below 1: one failure in three looks. At or above: two in two.
    const share = sharesEachSide(Float64Array.of(0.2, 0.5, 0.9, 1, 1.4), Uint8Array.of(0, 1, 0, 1, 1), 1);
    expect(share(0.99)).toBeCloseTo(1.5 / 4, 12);
    expect(share(1)).toBeCloseTo(2.5 / 3, 12);
  });

  test('isotonic steps by hand', () => {
    // Outcomes 0 1 0 1 1 in order of score: the second and third pool to 1/2, the last two to 1.
    const share = isotonicShares(Float64Array.of(3, 1, 2, 4, 5), Uint8Array.of(0, 0, 1, 1, 1));
    expect(share(1)).toBeCloseTo(softShare(0, 1), 12);
    expect(share(2.5)).toBeCloseTo(softShare(1, 2), 12);
    expect(share(3)).toBeCloseTo(softShare(1, 2), 12);
    expect(share(9)).toBeCloseTo(softShare(2, 2), 12);
    expect(share(0)).toBe(share(1));
    expect(isotonicShares(new Float64Array(0), new Uint8Array(0))(3)).toBe(0.5);
  });

  test('isotonic shares never fall and lie strictly between 0 and 1', () => {
    const looks = fc.array(fc.tuple(fc.double({ min: 0, max: 3, noNaN: true }), fc.integer({ min: 0, max: 1 })));
    fc.assert(
      fc.property(looks, (rows) => {
        const share = isotonicShares(
          Float64Array.from(rows, ([score]) => score),
          Uint8Array.from(rows, ([, failed]) => failed),
        );
        let before = 0;
        for (let score = 0; score <= 3; score += 0.1) {
          expect(share(score)).toBeGreaterThanOrEqual(before);
          before = share(score);
          expect(before > 0 && before < 1).toBe(true);
        }
      }),
      { seed: 1 },
    );
  });
});

const rows = (ages: readonly (readonly [entry: number, lower: number, upper: number])[]) => ({
  seal: Int32Array.from(ages, (_, i) => i),
  sealantClass: new Int32Array(ages.length),
  entryYears: Float64Array.from(ages, ([entry]) => entry),
  lowerYears: Float64Array.from(ages, ([, lower]) => lower),
  upperYears: Float64Array.from(ages, ([, , upper]) => upper),
});

describe('the class curve', () => {
  test('straight lines through the shares that failed in each interval', () => {
    // Four seals: two fail in (2, 4], one in (4, 8], one is sound at 8.
    const known = rows([
      [0, 2, 4],
      [0, 2, 4],
      [0, 4, 8],
      [0, 8, Infinity],
    ]);
    const curve = classLifeCurve(known, [0, 1, 2, 3]);
    if (!curve) throw new Error('No curve');
    expect([...curve.ages]).toEqual([0, 2, 4, 8]);
    [1, 1, 0.5, 0.25].forEach((value, k) => {
      expect(curve.survival[k]).toBeCloseTo(value, 9);
    });
    expect(curve.medianYears).toBeCloseTo(4, 9);
    expect(curveFailure(curve, 0, 3)).toBeCloseTo(0.25, 9);
    expect(curveFailure(curve, 3, 8)).toBeCloseTo(1 - 0.25 / 0.75, 9);
    // Beyond 8 the hazard of ages 4 to 8 goes on: survival halves every four years.
    expect(curveFailure(curve, 8, 12)).toBeCloseTo(0.5, 9);
    expect(curveFailure(curve, 6, 12)).toBeCloseTo(1 - 0.125 / 0.375, 9);
  });

  test('late entrants tell of late ages only', () => {
    // Those seen from age 6 lose one of two by 8; of those seen from new one of two fails by 4.
    const known = rows([
      [0, 2, 4],
      [0, 4, Infinity],
      [6, 6, 8],
      [6, 8, Infinity],
    ]);
    const curve = classLifeCurve(known, [0, 1, 2, 3]);
    if (!curve) throw new Error('No curve');
    expect(curveFailure(curve, 0, 4)).toBeCloseTo(0.5, 9);
    expect(curveFailure(curve, 6, 8)).toBeCloseTo(0.5, 9);
  });

  test('no failure gives a flat curve without a median, no row gives none', () => {
    const flat = classLifeCurve(rows([[0, 5, Infinity]]), [0]);
    expect(flat?.medianYears).toBeNull();
    expect(flat && curveFailure(flat, 1, 4)).toBe(0);
    expect(classLifeCurve(rows([[3, 3, Infinity]]), [0])).toBeNull();
  });
});

describe('what agencies do today, given the records to the cut-off', () => {
  const history = (id: string, looks: readonly (readonly [string, number])[]): TrialHistory => ({
    records: {
      segmentId: id,
      unsealedByPolicy: false,
      seals: [
        {
          id,
          installedFrom: '2000-01-01',
          installedTo: '2000-01-01',
          removedOn: null,
          removalReason: null,
        },
      ],
      inspections: looks.map(([inspectedOn, damagedShare]) => ({ inspectedOn, damagedShare, method: 'joint-length' })),
    },
    recordsFrom: null,
    facility: 'F1',
    district: 'North',
    climateZone: null,
    lengthM: 100,
    sealantClasses: ['polysulfide'],
  });
  const data = backtestTrials(
    [
      history('A', [
        ['2005-01-01', 0],
        ['2009-01-01', 0],
        ['2013-01-01', 0],
      ]),
      history('B', [
        ['2005-01-01', 0],
        ['2009-01-01', 0.5],
      ]),
    ],
    { failureThresholdShare: 0.1, inspectionMethod: 'joint-length', today: '2020-01-01' },
    { cutoffs: ['2010-01-01'], horizonYears: 5 },
  );
  const { forecasts, fixedLives } = baselineForecasts(data, () => 8);
  const chances = Object.fromEntries(
    forecasts.map((forecast) => [forecast.name, meanChances(data.trials, forecast)[0]]),
  );

  test('with one failure the published life of 8 years stands', () => {
    expect(fixedLives).toEqual([{ cutoff: '2010-01-01', classes: [{ sealantClass: 'polysulfide', medianYears: 8 }] }]);
  });

  test('fixed life: past looks beyond 8 years found one failure in two', () => {
    // Looks at age 9: A sound, B failed. The trial looks at age 13.
    expect(chances['fixed life']).toBeCloseTo(1.5 / 3, 12);
  });

  test('age ranking: the last step holds the looks at age 9', () => {
    expect(chances['age ranking']).toBeCloseTo(softShare(1, 2), 12);
  });

  test('class curve: with fewer than five failures the curve of all classes, never surer than its two rows', () => {
    // Half fail in (5, 9]. After 9 the hazard of ages 4.5 to 9 goes on: log 2 in 4.5 years; four years from 9 to 13.
    expect(chances['class curve']).toBeCloseTo(1 - 2 ** (-4 / 4.5), 3);
  });
});
