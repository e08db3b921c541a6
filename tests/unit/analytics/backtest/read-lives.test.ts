import { describe, expect, test } from 'vitest';
import { backtestTrials } from '../../../../analytics/backtest/backtest-trials.ts';
import type { LifeShares } from '../../../../analytics/backtest/read-lives.ts';
import {
  type CutoffModel,
  eachLife,
  meanChances,
  modelForecast,
} from '../../../../analytics/backtest/trial-forecast.ts';
import type { TrialHistory } from '../../../../analytics/backtest/trial-history.ts';
import { readingModel, type ShareReadings } from '../../../../analytics/condition/condition.ts';
import { forecastCondition } from '../../../../analytics/condition/forecast-condition.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';

const DRAWS = 30;
const CUTOFF = '2010-01-01';
const RULES = { failureThresholdShare: 0.1, inspectionMethod: 'joint-length', today: '2020-01-01' };

type Looks = readonly (readonly [day: string, share: number])[];

/** A seal of 2000-01-01, sealed for good. */
const history = (id: string, looks: Looks): TrialHistory => ({
  records: {
    segmentId: id,
    unsealedByPolicy: false,
    seals: [{ id, installedFrom: '2000-01-01', installedTo: '2000-01-01', removedOn: null, removalReason: null }],
    inspections: looks.map(([inspectedOn, damagedShare]) => ({ inspectedOn, damagedShare, method: 'joint-length' })),
  },
  recordsFrom: null,
  facility: 'F1',
  district: 'North',
  climateZone: null,
  lengthM: 100,
  sealantClasses: ['polysulfide'],
});

/** Draws near a median life of 11 years, damage that grows as age to the power 2.3 and is read to within 30 %. */
function modelOf(seals: number, readings: ShareReadings | null): CutoffModel {
  const { normal } = seededRandom(5);
  const each = (centre: number, sd: number) => Float64Array.from({ length: DRAWS }, () => centre + sd * normal());
  const draws = {
    draws: DRAWS,
    coefficients: each(2.5, 0.1),
    scale: each(0.4, 0.03),
    effectiveSampleSize: DRAWS,
    paretoK: 0.1,
  };
  const growth = {
    exponent: each(2.3, 0.1),
    readingSd: each(0.3, 0.02),
    inspectors: 0,
    inspectorShift: new Float64Array(0),
  };
  const shares: LifeShares | null = readings && { growth, reading: readingModel(0.1), readings };
  return { family: 'weibull', draws, rows: new Float64Array(seals).fill(1), shares };
}

const SOUND: Looks = [
  ['2011-01-01', 0.06],
  ['2013-01-01', 0.08],
  ['2015-01-01', 0.4],
];
const HISTORIES = [
  history('worn', [['2004-01-01', 0.01], ['2008-01-01', 0.07], ...SOUND]),
  history('fresh', [['2004-01-01', 0], ['2008-01-01', 0.002], ...SOUND]),
  history('never seen before', SOUND),
];

const past = (histories: readonly TrialHistory[]) =>
  backtestTrials(histories, RULES, { cutoffs: [CUTOFF], horizonYears: 6 });

function chancesOf(histories: readonly TrialHistory[], withShares = true) {
  const { trials, knownBefore } = past(histories);
  const model = modelOf(histories.length, withShares ? knownBefore[0].readings : null);
  return { trials, forecast: modelForecast('model', trials, [model]) };
}

describe('a past forecast that reads damaged shares', () => {
  test('is the forecast that would have been made on the cut-off date', () => {
    const { knownBefore } = past(HISTORIES);
    const { readings } = knownBefore[0];
    const { shares, draws } = modelOf(3, readings);
    if (!shares) throw new Error('the model has no shares');
    const days = (from: string, to: string) => (Date.parse(to) - Date.parse(from)) / 864e5;
    const age = (day: string) => days('2000-01-01', day) / 365.25;
    const known = {
      count: 3,
      covariates: Float64Array.of(1, 1, 1),
      soundAgeYears: Float64Array.of(age('2008-01-01'), age('2008-01-01'), 0),
      foundFailedAgeYears: new Float64Array(3).fill(Number.NaN),
      ...readings,
    };
    const drawn = { ...draws, growth: shares.growth, reading: shares.reading };
    const { trials, forecast } = chancesOf(HISTORIES);
    for (const [look, day] of SOUND.map(([each]) => each).entries()) {
      const halfAYearBefore = { planningAgeYears: new Float64Array(3).fill(age(day) - 0.5) };
      const options = { yearLeft: 0.5, horizonYears: 1 };
      const { failedByYearEnd, yearEnds } = forecastCondition(
        { ...known, ...halfAYearBefore },
        drawn,
        'weibull',
        options,
      );
      eachLife(trials, forecast, ({ first, end }, chances) => {
        const size = end - first;
        let failedBy = 0;
        for (let d = 0; d < DRAWS; d++) {
          let sound = 1;
          for (let k = 0; k <= look; k++) sound *= 1 - chances[d * size + k];
          failedBy += (1 - sound) / DRAWS;
        }
        expect(Math.abs(failedBy - failedByYearEnd[trials.seal[first] * yearEnds])).toBeLessThan(1e-6);
      });
    }
  });

  test('of a worn seal is worse than of a fresh one, and of a seal without shares that of ages alone, bit for bit', () => {
    const { trials, forecast } = chancesOf(HISTORIES);
    const [read, unread] = [forecast, chancesOf(HISTORIES, false).forecast].map((each) => meanChances(trials, each));
    expect([...trials.seal]).toEqual([0, 0, 0, 1, 1, 1, 2, 2, 2]);
    expect(read[0]).toBeGreaterThan(1.5 * unread[0]);
    expect(read[3]).toBeLessThan(unread[3] / 2);
    expect(read.subarray(6)).toEqual(unread.subarray(6));
  });

  test('knows nothing that was read after the cut-off date', () => {
    const later = HISTORIES.map(({ records, ...rest }) => ({
      ...rest,
      records: {
        ...records,
        inspections: records.inspections.map((look) =>
          look.inspectedOn > CUTOFF ? { ...look, damagedShare: look.damagedShare > 0.1 ? 0.9 : 0.001 } : look,
        ),
      },
    }));
    expect(past(later).knownBefore).toEqual(past(HISTORIES).knownBefore);
    const [now, then] = [HISTORIES, later].map((each) => {
      const { trials, forecast } = chancesOf(each);
      return meanChances(trials, forecast);
    });
    expect(then).toEqual(now);
  });

  test('keeps its chances within 0 and 1 where a look comes long after all lives like it have ended', () => {
    const worn = history('worn', [
      ['2008-01-01', 0.09],
      ['2015-06-01', 0.01],
      ['2015-12-01', 0.02],
    ]);
    const { trials, forecast } = chancesOf([worn]);
    eachLife(trials, forecast, (_, chances) => {
      for (const chance of chances) expect(chance >= 0 && chance <= 1).toBe(true);
    });
    expect(trials.count).toBe(2);
  });
});
