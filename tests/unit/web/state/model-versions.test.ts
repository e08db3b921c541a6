import { describe, expect, test } from 'vitest';
import type { ModelVersion } from '../../../../server/schemas/models.ts';
import { readModelPart } from '../../../../web/state/model-parts.ts';
import { versionSettings, versionsDiffer } from '../../../../web/state/model-versions.ts';

const version: ModelVersion = {
  version: 3,
  fittedAt: '2026-01-02T03:04:05Z',
  planningDate: '2026-01-01',
  dataVersion: 4,
  family: 'weibull',
  settingsUsed: {
    family: 'weibull',
    failureThresholdShare: 0.1,
    inspectionMethod: 'joint-length',
    prior: 'weak',
    seed: 1,
    draws: 400,
  },
  conditionUsed: false,
  observations: 900,
  failures: 300,
  logLikelihood: -400,
  parameters: 12,
  aic: 824,
  bic: 868,
  backTestLogScore: null,
  current: false,
};

describe('versions of the model', () => {
  test('settings read as one line, also those of versions before covariates could be left out', () => {
    expect(versionSettings(version)).toBe('Weibull, failed from 10\u00a0%');
    const settingsUsed = { ...version.settingsUsed, leftOutCovariates: ['width', 'traffic'] };
    expect(versionSettings({ ...version, settingsUsed })).toBe(
      'Weibull, failed from 10\u00a0%, without joint width, traffic',
    );
  });

  test('fit measures compare only on the same records read the same way', () => {
    expect(versionsDiffer(version, { ...version, version: 2 })).toBeNull();
    expect(versionsDiffer({ ...version, dataVersion: 5 }, version)).toBe('read other records');
    const settingsUsed = { ...version.settingsUsed, failureThresholdShare: 0.2 };
    expect(versionsDiffer({ ...version, settingsUsed }, version)).toBe('another failure threshold');
  });
});

test('the address says which part is open; anything else opens the model', () => {
  expect(readModelPart(new URLSearchParams('part=versions'))).toBe('versions');
  expect(readModelPart(new URLSearchParams('part=nothing'))).toBe('model');
  expect(readModelPart(new URLSearchParams())).toBe('model');
});
