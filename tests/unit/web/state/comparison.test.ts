import { describe, expect, test } from 'vitest';
import type { ComparisonRow } from '../../../../server/schemas/models.ts';
import type { Settings } from '../../../../server/schemas/settings.ts';
import {
  draftComparison,
  notComparableBecause,
  rankedRows,
  readComparison,
  settingChanges,
  settingsToAdopt,
  shortLabels,
  toggled,
} from '../../../../web/state/comparison.ts';
import { comparisonCsv } from '../../../../web/state/comparison-csv.ts';

const settings: Settings = {
  agencyName: 'An agency',
  agencyInvented: true,
  currency: 'EUR',
  failureThresholdShare: 0.1,
  inspectionMethod: 'joint-length',
  family: 'weibull',
  conditionModel: 'auto',
  leftOutCovariates: ['traffic'],
  pooling: 'auto',
  priors: null,
  stationLimitKm: 150,
  escalationPerYear: 0.03,
  discountRatePerYear: 0.04,
  openJointCostPerMYear: 6,
  planningDate: null,
  baseMapUrl: null,
};
const row: ComparisonRow = {
  label: 'Weibull, failed from 10 %',
  family: 'weibull',
  failureThresholdShare: 0.1,
  leftOut: [],
  observations: 900,
  failures: 300,
  parameters: 12,
  logLikelihood: -400,
  aic: 824,
  aicDifference: 2,
  aicc: 825,
  bic: 868,
  medianLifeYears: { median: 12, lower: 11, upper: 13 },
  tenPercentLifeYears: { median: 5, lower: 4, upper: 6 },
  backTestLogScore: 0.4,
  backTestTrials: 1000,
  converged: true,
  status: 'ok',
  warnings: [],
  comparable: true,
  current: false,
  adoptable: true,
  sentence: '',
};
const choice = { ...draftComparison(settings), mode: 'combinations' as const };

describe('what to compare', () => {
  test('one change at a time leaves the plan to the server', () => {
    expect(readComparison(draftComparison(settings), settings)).toEqual({ request: {}, models: null, problems: [] });
  });

  test('every choice is tried with every other, the present covariates among them', () => {
    const draft = { ...choice, families: ['weibull', 'lognormal'] as const, thresholdsPercent: '5, 10 20%' };
    const { request, models } = readComparison({ ...draft, switched: ['width'] }, settings);
    expect(request).toEqual({
      families: ['weibull', 'lognormal'],
      thresholds: [0.05, 0.1, 0.2],
      leaveOut: [['traffic'], ['traffic', 'width']],
    });
    expect(models).toBe(2 * 3 * 2);
  });

  test('a covariate that is left out now is tried in the model', () => {
    const { request } = readComparison({ ...choice, switched: ['traffic'] }, settings);
    expect(request.leaveOut).toEqual([['traffic'], []]);
  });

  test('covariates may be changed all together', () => {
    const { request } = readComparison({ ...choice, switched: ['traffic', 'width'], switchHow: 'together' }, settings);
    expect(request.leaveOut).toEqual([['traffic'], ['width']]);
  });

  test('no family, thresholds that are no shares, and too many models are named', () => {
    const fields = (draft: Partial<typeof choice>) =>
      readComparison({ ...choice, ...draft }, settings).problems.map(({ field }) => field);
    expect(fields({ families: [] })).toEqual(['families']);
    for (const thresholdsPercent of ['', 'ten', '0.5', '101', '1 2 3 4 5 6 7'])
      expect(fields({ thresholdsPercent })).toEqual(['thresholdsPercent']);
    // 4 families x 6 thresholds x 3 sets = 72, above the 60 that the route allows
    expect(fields({ thresholdsPercent: '5 10 15 20 25 30', switched: ['width', 'blasted'] })).toEqual(['count']);
  });

  test('a choice made twice is taken back', () => {
    expect(toggled(toggled(['a'], 'b'), 'a')).toEqual(['b']);
  });
});

describe('adopting', () => {
  test('changes family, threshold and covariates, and nothing else', () => {
    const lognormal: ComparisonRow = {
      ...row,
      family: 'lognormal',
      leftOut: [{ name: 'width', label: 'Joint width' }],
    };
    expect(settingsToAdopt(lognormal, settings)).toEqual({
      ...settings,
      family: 'lognormal',
      leftOutCovariates: ['width'],
    });
  });

  test('the referee cannot be adopted', () => {
    expect(settingsToAdopt({ ...row, family: 'generalised-gamma', adoptable: false }, settings)).toBeNull();
    expect(settingsToAdopt({ ...row, family: 'generalised-gamma' }, settings)).toBeNull();
  });

  test('only what changes is listed', () => {
    const next = { ...settings, family: 'lognormal' as const, leftOutCovariates: [] };
    expect(settingChanges(settings, next)).toEqual([
      { name: 'Family', from: 'Weibull', to: 'Log-normal' },
      { name: 'Covariates left out', from: 'Traffic', to: 'none' },
    ]);
    expect(settingChanges(settings, settings)).toEqual([]);
  });
});

describe('what is drawn', () => {
  const scored = (label: string, backTestLogScore: number | null, more: Partial<ComparisonRow> = {}) => ({
    ...row,
    label,
    backTestLogScore,
    ...more,
  });

  test('the best first; what has no score is left to the table', () => {
    const rows = [scored('b', 0.5), scored('none', null), scored('a', 0.3)];
    expect(rankedRows(rows, 'score', 10).map(({ label }) => label)).toEqual(['a', 'b']);
  });

  test('the present model is drawn even where it is far down', () => {
    const rows = [scored('a', 0.1), scored('b', 0.2), scored('now', 0.9, { current: true })];
    expect(rankedRows(rows, 'score', 2).map(({ label }) => label)).toEqual(['a', 'now']);
  });

  test('scores are drawn only for the present threshold, lives for all', () => {
    const rows = [scored('now', 0.3, { current: true }), scored('other', 0.1, { failureThresholdShare: 0.2 })];
    expect(rankedRows(rows, 'score', 10).map(({ label }) => label)).toEqual(['now']);
    expect(rankedRows(rows, 'lives', 10)).toHaveLength(2);
  });

  test('AIC is drawn only for models that compare', () => {
    const rows = [scored('other', 0.1, { comparable: false }), scored('same', 0.2)];
    expect(rankedRows(rows, 'aic', 10).map(({ label }) => label)).toEqual(['same']);
  });

  test('the axis of a picture says what sets each apart; whole labels where two would clash', () => {
    const width = [{ name: 'width', label: 'Joint width' }];
    const rows = [
      scored('Weibull, failed from 10 %', 0.3, { current: true }),
      scored('Weibull, failed from 10 %, without joint width', 0.3, { leftOut: width }),
      scored('Log-normal, failed from 20 %', 0.3, { family: 'lognormal', failureThresholdShare: 0.2 }),
    ];
    expect([...shortLabels(rows).values()]).toEqual([
      'Weibull, failed from 10 %',
      'without joint width',
      'Log-normal, failed from 20\u00a0%',
    ]);
    const back = [scored('now', 0.3, { current: true, leftOut: width }), scored('full', 0.3)];
    expect(shortLabels(back).get(back[1])).toBe('with joint width');
    const twice = [scored('a', 0.3, { leftOut: width }), scored('b', 0.3, { leftOut: width }), rows[0]];
    expect([...shortLabels(twice).values()]).toEqual(['a', 'b', 'Weibull, failed from 10 %']);
  });

  test('the file of compared models has a cell for each head', () => {
    const [head, ...lines] = comparisonCsv([row, { ...row, medianLifeYears: null }]);
    expect(lines.map((line) => line.length)).toEqual([head.length, head.length]);
    expect(lines[0][head.indexOf('medianLifeYears90')]).toBe(13);
    expect(lines[1][head.indexOf('medianLifeYears')]).toBeNull();
  });

  test('why two do not compare is said', () => {
    expect(notComparableBecause(row, row)).toBeNull();
    const other = { ...row, comparable: false };
    expect(notComparableBecause({ ...other, failureThresholdShare: 0.2 }, row)).toMatch(/threshold/);
    expect(notComparableBecause({ ...other, converged: false }, row)).toMatch(/settle/);
    expect(notComparableBecause({ ...other, observations: 5 }, row)).toMatch(/other seals/);
  });
});
