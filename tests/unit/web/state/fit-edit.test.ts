import { describe, expect, test } from 'vitest';
import type { Settings } from '../../../../server/schemas/settings.ts';
import { readings, remarks, sealsOf } from '../../../../web/state/data-use.ts';
import { draftFit, readFit } from '../../../../web/state/fit-edit.ts';

const settings: Settings = {
  agencyName: 'An agency',
  agencyInvented: true,
  currency: 'EUR',
  failureThresholdShare: 0.1,
  inspectionMethod: 'joint-length',
  family: 'weibull',
  conditionModel: 'auto',
  leftOutCovariates: [],
  pooling: 'auto',
  priors: null,
  stationLimitKm: 150,
  escalationPerYear: 0.03,
  discountRatePerYear: 0.04,
  openJointCostPerMYear: 6,
  planningDate: null,
  baseMapUrl: null,
};

describe('settings of the fit as typed', () => {
  test('nothing touched, nothing changed', () => {
    expect(readFit(draftFit(settings), settings)).toEqual({ settings, problems: [] });
  });

  test('a threshold of 7.5 % is a share of 0.075', () => {
    const { settings: read } = readFit({ ...draftFit(settings), thresholdPercent: '7.5' }, settings);
    expect(read.failureThresholdShare).toBe(0.075);
  });

  test('each value outside its bounds is named', () => {
    const draft = { ...draftFit(settings), thresholdPercent: '0.5', stationLimitKm: 'far', planningDate: '2030-02-30' };
    expect(readFit(draft, settings).problems.map(({ field }) => field)).toEqual([
      'thresholdPercent',
      'stationLimitKm',
      'planningDate',
    ]);
  });
});

describe('what the records said', () => {
  const rule = (name: string, seals: number, used: boolean) => ({
    rule: name,
    label: name,
    seals,
    used,
    examples: [],
  });
  const rules = [
    rule('never-inspected', 40, false),
    rule('still-sound', 60, true),
    rule('delayed-entry', 55, true),
    rule('removed-failed', 0, true),
  ];

  test('a seal noted besides is not counted twice', () => {
    expect(sealsOf(readings(rules))).toBe(100);
    expect(remarks(rules).map(({ rule: name }) => name)).toEqual(['delayed-entry']);
  });

  test('used readings come first, empty ones are left out', () => {
    expect(readings(rules).map(({ rule: name }) => name)).toEqual(['still-sound', 'never-inspected']);
  });
});
