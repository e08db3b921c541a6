import { expect, test } from 'vitest';
import { readingRules, readSegment, type SealInPlace, sealInPlace } from '../../../../server/forecasting/network.ts';
import { sealCovariates } from '../../../../server/forecasting/seal-covariates.ts';
import type { Inspection } from '../../../../server/schemas/inspection.ts';
import type { Seal } from '../../../../server/schemas/seal.ts';
import type { Settings } from '../../../../server/schemas/settings.ts';
import { facility, inspection, seal, segment } from '../store/sample-records.ts';

const SETTINGS = { failureThresholdShare: 0.1, inspectionMethod: 'joint-length' } as Settings;
const TODAY = '2026-06-01';

/** What is known of the one seal of a segment. */
function known(records: {
  recordsFrom?: string | null;
  seal?: Partial<Seal>;
  looks?: Partial<Inspection>[];
  today?: string;
}): SealInPlace {
  const { geometry: _drawn, ...rest } = segment('S1');
  const history = {
    segment: { ...rest, lon: -97, lat: 35 },
    facility: facility('A', { recordsFrom: records.recordsFrom ?? null }),
    seals: [seal('k', { installedFrom: '2010-06-01', installedTo: '2010-06-01', ...records.seal })],
    inspections: (records.looks ?? []).map((look, i) => inspection(`i${i}`, look)),
  };
  const rules = readingRules(history, SETTINGS, records.today ?? TODAY);
  const [reading] = readSegment(history, rules).seals;
  return sealInPlace(
    history.seals[0],
    reading,
    { covariates: sealCovariates(history, history.seals[0], null), readings: [] },
    rules,
  );
}

/** Days by the calendar: sixteen years with four 29ths of February from mid-2010 to mid-2026, and so on. */
const years = (days: number): number => days / 365.25;

test('a seal never inspected is known sound on the day it was installed, and ages until the planning date', () => {
  expect(known({})).toMatchObject({
    planningAgeYears: years(16 * 365 + 4),
    soundAgeYears: 0,
    foundFailedAgeYears: Number.NaN,
    damageShare: Number.NaN,
  });
});

test('one that is in the records was sound when they began', () => {
  // 1 June 2010 to 1 January 2015: four years with one 29 February, and 214 days.
  expect(known({ recordsFrom: '2015-01-01' }).soundAgeYears).toBeCloseTo(years(4 * 365 + 1 + 214), 12);
  expect(known({ recordsFrom: '2001-01-01' }).soundAgeYears).toBe(0);
});

test('the last sound look counts, when it came after the records began', () => {
  const looks = [
    { inspectedOn: '2016-06-01', damagedShare: 0 },
    { inspectedOn: '2020-06-01', damagedShare: 0.04 },
  ];
  const found = known({ recordsFrom: '2015-01-01', looks });
  expect(found.soundAgeYears).toBeCloseTo(years(10 * 365 + 3), 12);
  expect(found.damageShare).toBe(0.04);
});

test('damage of nothing says nothing of its growth', () => {
  expect(known({ looks: [{ inspectedOn: '2020-06-01', damagedShare: 0 }] }).damageShare).toBeNaN();
});

test('a known failure lies between the last sound look and the first that found it', () => {
  const found = known({
    recordsFrom: '2015-01-01',
    looks: [
      { inspectedOn: '2014-06-01', damagedShare: 0.02 },
      { inspectedOn: '2018-06-01', damagedShare: 0.1 }, // at the threshold is failed
      { inspectedOn: '2022-06-01', damagedShare: 0.6 },
    ],
  });
  expect(found.observation.knownFailed).toBe(true);
  expect(found.soundAgeYears).toBeCloseTo(years(4 * 365 + 1), 12);
  expect(found.foundFailedAgeYears).toBeCloseTo(years(8 * 365 + 2), 12);
  expect(found.damageShare).toBeNaN();
});

test('ratings by another method are not looks', () => {
  const found = known({ looks: [{ inspectedOn: '2020-06-01', damagedShare: 0.5, method: 'sample-unit' }] });
  expect([found.observation.knownFailed, found.soundAgeYears]).toEqual([false, 0]);
});

test('ages count from the middle of an installation known to the year', () => {
  const found = known({ seal: { installedFrom: '2010-01-01', installedTo: '2010-12-31' } });
  // The middle of 2010 is 2 July: 31 days short of sixteen years before 1 June 2026.
  expect(found.planningAgeYears).toBeCloseTo(years(16 * 365 + 4 - 31), 12);
});

test('what came after the planning date is not known then', () => {
  const found = known({ today: '2019-06-01', looks: [{ inspectedOn: '2020-06-01', damagedShare: 0.5 }] });
  expect(found.observation.knownFailed).toBe(false);
  expect(found.planningAgeYears).toBeCloseTo(years(9 * 365 + 2), 12);
  expect(found.soundAgeYears).toBeLessThanOrEqual(found.planningAgeYears);
});
