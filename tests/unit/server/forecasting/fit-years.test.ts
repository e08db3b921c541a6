import { beforeAll, describe, expect, test } from 'vitest';
import { ONE_THREAD } from '../../../../analytics/numeric/chunk-sums.ts';
import { spreadQuantile } from '../../../../analytics/pooling/year-spread.ts';
import { type FittedModel, fitNetwork } from '../../../../server/forecasting/fit-network.ts';
import { fitYears } from '../../../../server/forecasting/fit-years.ts';
import { decimalYear, type Network } from '../../../../server/forecasting/network.ts';
import { yearsReport } from '../../../../server/forecasting/years-report.ts';
import { DEFAULT_SETTINGS } from '../../../../server/store/sqlite/settings.ts';
import { demoAgency } from '../../data-demo/demo-agency.ts';
import { networkOf } from '../evidence/demo-lives.ts';

describe('the demo, whose years are all alike', () => {
  let network: Network;
  let model: FittedModel;
  beforeAll(async () => {
    network = networkOf(await demoAgency(2000)).network;
    model = fitNetwork(network, { ...DEFAULT_SETTINGS, conditionModel: 'off' }, ONE_THREAD);
  }, 60_000);

  test('is not found to have good years and bad ones', () => {
    const { spread, sd } = model.years;
    expect(spread.told).toBe(true);
    expect(spread.beyondChance).toBe(false);
    // Before any data it is 0.3 x 1.6449 = 0.49.
    expect(spreadQuantile(spread, 0.9)).toBeLessThan(0.3);
    expect(sd).toHaveLength(model.draws.draws);
    for (const { effect } of spread.years) expect(Math.abs(effect)).toBeLessThan(0.2);
  });

  test('says so, with interval, count of failures and of years', () => {
    const { sentence, inIntervals, failures, years, factor } = yearsReport(model.years);
    expect(sentence).toMatch(/^Calendar years differ no more than chance would make them,.*Judged by [\d,]+ failures/);
    expect(sentence).toContain(`in ${years.length} years, ${years[0].year} to ${years[years.length - 1].year}`);
    expect(sentence).toContain(`80 % interval ${factor.lower.toFixed(2)} to ${factor.upper.toFixed(2)}`);
    expect(inIntervals).toContain('Intervals of totals include it');
    expect(failures).toBeGreaterThan(300);
  });
});

test('without records the years are as believed, and the report says that it is an assumption', () => {
  const years = fitYears({ rows: [] }, null, { draws: 200, seed: 1 });
  const { told, sentence, factor, years: listed } = yearsReport(years);
  expect([told, listed]).toEqual([false, []]);
  expect(sentence).toContain('an assumption without a source');
  // Median and 90th percentile of |N(0, 0.3²)|: 0.3 times 0.6745 and 1.6449.
  expect(Math.abs(factor.median - Math.exp(0.3 * 0.6745))).toBeLessThan(0.01);
  expect(Math.abs(factor.upper - Math.exp(0.3 * 1.6449))).toBeLessThan(0.02);
  const sorted = [...years.sd].sort((a, b) => a - b);
  expect(Math.abs(sorted[100] / (0.3 * 0.6745) - 1)).toBeLessThan(0.03);
});

test('a day of installation is a decimal year; a range of more than a month is not', () => {
  const on = (installedFrom: string, installedTo = installedFrom) => decimalYear({ installedFrom, installedTo });
  expect(on('2000-01-01')).toBe(2000);
  expect(on('2008-07-01')).toBeCloseTo(2008.5, 2);
  expect(on('2010-05-01', '2010-05-31')).toBeCloseTo(2010.37, 2);
  expect(on('2010-01-01', '2010-12-31')).toBeNaN();
});
