import { beforeAll, describe, expect, test } from 'vitest';
import { GROWTH, READING_LOG_SD } from '../../../../data-demo/readings.ts';
import { demoAgency } from '../../data-demo/demo-agency.ts';
import { type DemoLives, demoLives, medianOf } from './demo-lives.ts';
import { type DemoPast, demoPast, skillShare } from './demo-past.ts';

/**
 * The model that the server forecasts with, on an invented agency whose true lives are known. `npm run bench` prints the same
 * figures for several agencies, large enough that chance hardly blurs them.
 */
let past: DemoPast;
let lives: DemoLives;
beforeAll(async () => {
  const agency = await demoAgency(4000);
  past = demoPast(agency);
  lives = demoLives(agency);
}, 300_000);

describe('past forecasts, from what each cut-off date knew', () => {
  test('are good enough to budget with', () => {
    expect(past.report.trials).toBeGreaterThan(15_000);
    expect(past.report.verdict.grade).toBe('good');
  });

  test('are calibrated to 3 points at every tenth against the chances of the true model', () => {
    expect(past.againstTruth).toHaveLength(10);
    for (const { looks, forecast, truth } of past.againstTruth) {
      expect(looks).toBeGreaterThan(100);
      expect(Math.abs(forecast - truth)).toBeLessThan(0.03);
    }
  });

  test('are calibrated to 3 points against what was found, where there are looks enough to tell', () => {
    const { tenths } = past.report.model;
    const many = tenths.filter(({ trials }) => trials >= 1000);
    expect(many.length).toBeGreaterThanOrEqual(2);
    for (const { forecastShare, foundShare } of many) expect(Math.abs(foundShare - forecastShare)).toBeLessThan(0.03);
    // Thinner tenths: 3 points and two standard errors of the found share.
    for (const { forecastShare, foundShare, trials } of tenths) {
      const error = Math.sqrt((forecastShare * (1 - forecastShare)) / trials);
      expect(Math.abs(foundShare - forecastShare)).toBeLessThan(0.03 + 2 * error);
    }
  });

  test('have 80 % intervals that hold 77 to 83 % of lives', () => {
    const [all] = past.report.model.lifeIntervals;
    expect(all.share).toBeGreaterThan(0.77);
    expect(all.share).toBeLessThan(0.83);
  });

  test('have 80 % intervals of groups that hold 77 to 83 %, Monte Carlo error allowed', () => {
    // About 230 groups with a credit SD of 0.3: standard error 2 points.
    const { share } = past.report.model.cells?.counts[0] ?? { share: 0 };
    expect(share).toBeGreaterThan(0.77 - 0.04);
    expect(share).toBeLessThan(0.83 + 0.04);
  });

  test('beat the model of ages alone and every simple method beyond chance', () => {
    expect(past.report.comparisons.map(({ against }) => against)).toEqual([
      'ages alone',
      'fixed life',
      'class curve',
      'age ranking',
    ]);
    for (const { logScore, brier } of past.report.comparisons) {
      expect(logScore.lower).toBeGreaterThan(0);
      expect(brier.lower).toBeGreaterThan(0);
    }
  });

  test('reach at least 95 % of the skill of the true model over the class curve', () => {
    expect(skillShare(past)).toBeGreaterThanOrEqual(0.95);
  });
});

describe('remaining lives of seals in place with damage on record', () => {
  test('have a median error at least 15 % below that of soundness and failure alone', () => {
    expect(lives.segments).toBeGreaterThan(2000);
    expect(medianOf(lives.errors)).toBeLessThan(0.85 * medianOf(lives.plainErrors));
  });

  test('end within their 80 % intervals in 77 to 83 of 100 cases', () => {
    const share = lives.covered / lives.segments;
    expect(share).toBeGreaterThan(0.77);
    expect(share).toBeLessThan(0.83);
  });

  test('come from growth and noise of the readings as they were made', () => {
    expect(Math.abs(lives.exponent / GROWTH - 1)).toBeLessThan(0.02);
    expect(Math.abs(lives.readingSd / READING_LOG_SD - 1)).toBeLessThan(0.05);
  });
});
