import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type BacktestReport, backtest } from '../../../../analytics/backtest/backtest.ts';
import { baselineForecasts } from '../../../../analytics/backtest/baselines.ts';
import { modelForecast } from '../../../../analytics/backtest/trial-forecast.ts';
import { classPrior } from '../../../../analytics/survival/covariate-prior.ts';
import { makeDemo } from '../../../../data-demo/make.ts';
import { demoModels, demoTrials, trueModels } from './demo-backtest.ts';
import { readDemoAgency } from './demo-histories.ts';

const folder = mkdtempSync(join(tmpdir(), 'demo-backtest-'));
let report: BacktestReport;
let truthReport: BacktestReport;

beforeAll(async () => {
  const agency = readDemoAgency(folder, await makeDemo({ segments: 2000, outDir: folder }));
  // Windows that do not overlap: every look is forecast once, three years ahead at most.
  const data = demoTrials(agency, ['2014-01-01', '2017-01-01', '2020-01-01', '2023-01-01'], 3);
  const { trials } = data;
  const baselines = baselineForecasts(data, (name) => classPrior(name).medianYears).forecasts;
  report = backtest(trials, modelForecast('model', trials, demoModels(agency, data)), baselines, { seed: 1 });
  truthReport = backtest(trials, modelForecast('truth', trials, trueModels(agency, data)), baselines, { seed: 1 });
  print();
});
afterAll(() => rmSync(folder, { recursive: true }));

const gainOn = (of: BacktestReport, against: string) => {
  const comparison = of.comparisons.find((row) => row.against === against);
  if (!comparison) throw new Error(`No comparison with ${against}`);
  return comparison.logScore;
};
const skillShare = () => gainOn(report, 'class curve').mean / gainOn(truthReport, 'class curve').mean;
const percent = (share: number) => `${(100 * share).toFixed(1)} %`;

function print(): void {
  const tenths = report.model.tenths.map(
    (row) => `${row.label}: ${percent(row.forecastShare)} forecast, ${percent(row.foundShare)} found of ${row.trials}`,
  );
  console.info(
    [
      report.verdict.sentence,
      ...tenths,
      `log score ${report.model.scores?.logScore.toFixed(4)}, of the true model ${truthReport.model.scores?.logScore.toFixed(4)}`,
      ...report.comparisons.map(({ against, logScore }) => `gain on ${against}: ${logScore.mean.toFixed(4)}`),
      `skill over the class curve: ${percent(skillShare())} of what the true model reaches`,
      `80 % intervals cover ${percent(report.lifeIntervals[0].share)} of ${report.lifeIntervals[0].count} lives and ${percent(report.cells?.counts[0].share ?? 0)} of ${report.cells?.counts[0].count} cells`,
    ].join('\n'),
  );
}

/** Tenths with fewer trials than this are too thin for three points: their standard error alone is two or more. */
const ENOUGH = 500;

describe('on an invented agency of 2,000 segments, fitted to what each cut-off knew', () => {
  test('the forecast is good enough to budget with', () => {
    expect(report.trials).toBeGreaterThan(8000);
    expect(report.verdict.grade).toBe('good');
  });

  test('calibration is within 3 points at every tenth with enough trials, Monte Carlo error allowed', () => {
    const rows = report.model.tenths.filter(({ trials }) => trials >= ENOUGH);
    expect(rows.length).toBeGreaterThanOrEqual(3);
    for (const { forecastShare, foundShare } of rows) expect(Math.abs(foundShare - forecastShare)).toBeLessThan(0.03);
    // Thinner tenths: 3 points and two standard errors of the found share.
    for (const { forecastShare, foundShare, trials } of report.model.tenths) {
      const error = Math.sqrt((forecastShare * (1 - forecastShare)) / trials);
      expect(Math.abs(foundShare - forecastShare)).toBeLessThan(0.03 + 2 * error);
    }
  });

  test('80 % intervals cover 77 to 83 % of lives', () => {
    expect(report.lifeIntervals[0].share).toBeGreaterThan(0.77);
    expect(report.lifeIntervals[0].share).toBeLessThan(0.83);
  });

  test('80 % intervals of the cells cover 77 to 83 %, Monte Carlo error allowed', () => {
    // About 225 cells with a credit SD of 0.3: standard error 2 points.
    const { share } = report.cells?.counts[0] ?? { share: 0 };
    expect(share).toBeGreaterThan(0.77 - 0.04);
    expect(share).toBeLessThan(0.83 + 0.04);
  });

  test('it beats every simple method beyond chance', () => {
    for (const { logScore, brier } of report.comparisons) {
      expect(logScore.lower).toBeGreaterThan(0);
      expect(brier.lower).toBeGreaterThan(0);
    }
  });

  test('its skill over the class curve is at least 95 % of what the true model reaches', () => {
    expect(skillShare()).toBeGreaterThanOrEqual(0.95);
  });
});
