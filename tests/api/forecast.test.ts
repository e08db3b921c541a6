import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { OBSERVATION_RULES } from '../../analytics/survival/observation.ts';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import { type Budget, BudgetSchema } from '../../server/schemas/budget.ts';
import type { SegmentCard } from '../../server/schemas/card.ts';
import { HORIZON_YEARS, type SegmentPage } from '../../server/schemas/forecast.ts';
import { type ModelReport, ModelReportSchema } from '../../server/schemas/model.ts';
import type { Settings } from '../../server/schemas/settings.ts';
import type { UnitCost } from '../../server/schemas/unit-cost.ts';
import { getJson, quietly, startDemo } from './demo-app.ts';
import { forecast, LOOPBACK } from './load-over-http.ts';
import type { TestApp } from './start-app.ts';

let server: TestApp;
beforeAll(async () => {
  server = await startDemo();
});
afterAll(() => server.close());

const model = () => getJson<ModelReport>(server, '/api/model');
const budget = () => getJson<Budget>(server, '/api/budget');
const put = (url: string, payload: object) => server.app.inject({ method: 'PUT', url, headers: LOOPBACK, payload });
const segments = async () => (await getJson<SegmentPage>(server, '/api/segments?limit=1000')).items;

/** All that may differ between two runs on the same records and settings. */
const withoutClock = ({ version: _v, fittedAt: _at, fit: { fitSeconds: _s, ...fit }, ...rest }: ModelReport) => ({
  ...rest,
  fit,
});

describe('model and budget of the demo', () => {
  test('what is stored, before any serialiser touches it, is as the schemas say', async () => {
    // A NaN becomes null in the store, and a serialiser would print that as 0.
    const report = Compile(ModelReportSchema);
    const table = Compile(BudgetSchema);
    expect([...report.Errors(await server.store.readModelReport())]).toEqual([]);
    expect([...table.Errors(await server.store.readBudget())]).toEqual([]);
    expect([...report.Errors(await model())]).toEqual([]);
    expect([...table.Errors(await budget())]).toEqual([]);
  });

  test('the fit is sound and every seal is counted once', async () => {
    const found = await model();
    expect(found.fit).toMatchObject({ converged: true, status: 'ok' });
    const records = await getJson<{ seals: number }>(server, '/api/records');
    const kinds: Record<string, { kind: string }> = OBSERVATION_RULES;
    const readings = found.dataUse.filter(({ rule }) => kinds[rule].kind === 'reading'); // marks come in addition
    expect(readings.reduce((sum, line) => sum + line.seals, 0)).toBe(records.seals);
    const used = readings.filter((line) => line.used).reduce((sum, line) => sum + line.seals, 0);
    expect(found.fit.observations).toBe(used);
    expect(found.classes.reduce((sum, line) => sum + line.observations, 0)).toBe(used);
  });

  test('the budget has a row for each district, class and year, and its years are the horizon', async () => {
    const found = await budget();
    const years = Array.from({ length: found.years.length }, (_, i) => 2026 + i);
    expect(found.years).toEqual(years);
    expect(found.years.length).toBeGreaterThanOrEqual(HORIZON_YEARS);
    expect(found.totals.map(({ year }) => year)).toEqual(years);
    const keys = found.rows.map((row) => `${row.district}/${row.sealantClass}/${row.year}`);
    expect(new Set(keys).size).toBe(keys.length);
    for (const row of found.rows) expect(years).toContain(row.year);
  });

  test('intervals hold their medians, and totals are narrower than the sum of the intervals of their parts', async () => {
    const { rows, totals, districtTotals } = await budget();
    for (const { lengthM, cost } of [...rows, ...totals, ...districtTotals]) {
      for (const { lower, median, upper } of [lengthM, cost]) {
        expect(lower).toBeGreaterThanOrEqual(0);
        expect(lower).toBeLessThanOrEqual(median);
        expect(median).toBeLessThanOrEqual(upper);
      }
    }
    for (const { year, lengthM } of totals) {
      const parts = rows.filter((row) => row.year === year);
      const widths = parts.reduce((sum, part) => sum + part.lengthM.upper - part.lengthM.lower, 0);
      expect(lengthM.upper - lengthM.lower).toBeLessThanOrEqual(widths);
      // The median of a sum is not the sum of medians, but lies among the sums of the bounds.
      expect(lengthM.median).toBeLessThanOrEqual(parts.reduce((sum, part) => sum + part.lengthM.upper, 0));
      expect(lengthM.median).toBeGreaterThanOrEqual(parts.reduce((sum, part) => sum + part.lengthM.lower, 0));
    }
  });

  test('money in the first year is about length times price, and present value is below the plain sum', async () => {
    const found = await budget();
    const [first] = found.totals;
    const prices = (await getJson<UnitCost[]>(server, '/api/unit-costs')).map(({ costPerM }) => costPerM);
    const perM = first.cost.median / first.lengthM.median;
    const escalation = (1 + found.escalationPerYear) ** (2026 - found.priceYear);
    expect(perM).toBeGreaterThan(Math.min(...prices) * escalation * 0.9);
    expect(perM).toBeLessThan(Math.max(...prices) * escalation * 1.1);
    expect(found.overall.presentValue.median).toBeLessThan(found.overall.cost.median);
  });
});

test('the same records and settings give the same numbers, bit for bit, in a worker and in this thread', async () => {
  const [report, table, rows] = [await model(), await budget(), await segments()];
  await forecast(server);
  const again = await model();
  expect(again.version).toBe(report.version + 1);
  expect(JSON.stringify(withoutClock(again))).toBe(JSON.stringify(withoutClock(report)));
  expect(JSON.stringify({ ...(await budget()), modelVersion: 0 })).toBe(JSON.stringify({ ...table, modelVersion: 0 }));
  expect(await segments()).toEqual(rows);
});

test('new prices scale the costs exactly and leave the model as it is', async () => {
  const [before, report] = [await budget(), await model()];
  const prices = await getJson<UnitCost[]>(server, '/api/unit-costs');
  const doubled = prices.map((price) => ({ ...price, costPerM: price.costPerM * 2 }));
  expect((await put('/api/unit-costs', doubled)).statusCode).toBe(200);
  const job = await server.app.inject({ method: 'POST', url: '/api/budget/recompute', headers: LOOPBACK });
  expect(job.statusCode).toBe(202);
  expect((await server.jobs.ended(job.json().id)).state).toBe('done');
  const after = await budget();
  expect(after.modelVersion).toBe(before.modelVersion);
  expect((await model()).version).toBe(report.version);
  expect(after.totals.map(({ lengthM }) => lengthM)).toEqual(before.totals.map(({ lengthM }) => lengthM));
  for (const [i, { cost }] of after.rows.entries()) {
    for (const bound of ['median', 'lower', 'upper'] as const) expect(cost[bound]).toBe(2 * before.rows[i].cost[bound]);
  }
  await put('/api/unit-costs', prices);
});

test('a class without a price has its length told apart, not a price of 0', async () => {
  const prices = await getJson<UnitCost[]>(server, '/api/unit-costs');
  const priced = prices.filter(({ sealantClass }) => sealantClass !== 'silicone-self-levelling');
  expect(priced.length).toBeLessThan(prices.length);
  await put('/api/unit-costs', priced);
  const job = await server.app.inject({ method: 'POST', url: '/api/budget/recompute', headers: LOOPBACK });
  await server.jobs.ended(job.json().id);
  const found = await budget();
  expect(found.unpricedLengthM).toBeGreaterThan(0);
  expect([...Compile(BudgetSchema).Errors(await server.store.readBudget())]).toEqual([]);
  await put('/api/unit-costs', prices);
});

test('a higher failure threshold finds fewer failures and longer lives', async () => {
  const settings = await getJson<Settings>(server, '/api/settings');
  const low = await model();
  expect((await put('/api/settings', { ...settings, failureThresholdShare: 0.3 })).statusCode).toBe(200);
  await runForecast(quietly(server));
  const high = await model();
  expect(high.settingsUsed.failureThresholdShare).toBe(0.3);
  expect(high.fit.failures).toBeLessThan(low.fit.failures);
  const median = ({ classes }: ModelReport, name: string) =>
    classes.find(({ sealantClass }) => sealantClass === name)?.medianLifeYears.median ?? Number.NaN;
  const largest = low.classes.toSorted((a, b) => b.observations - a.observations)[0].sealantClass;
  expect(median(high, largest)).toBeGreaterThan(median(low, largest));
  await put('/api/settings', settings);
});

test('another family is fitted and kept when it is asked for', async () => {
  const settings = await getJson<Settings>(server, '/api/settings');
  const started = await server.app.inject({
    method: 'POST',
    url: '/api/forecasts',
    headers: LOOPBACK,
    payload: { family: 'lognormal' },
  });
  expect((await server.jobs.ended(started.json().id)).error).toBeNull();
  const found = await model();
  expect([found.fit.family, found.shape]).toEqual(['lognormal', null]);
  expect((await getJson<Settings>(server, '/api/settings')).family).toBe('lognormal');
  await put('/api/settings', settings);
});

test('a planning date far off is forecast from, and the card follows it', async () => {
  const settings = await getJson<Settings>(server, '/api/settings');
  for (const planningDate of ['2200-12-31', '1990-02-28', '2024-02-29']) {
    expect((await put('/api/settings', { ...settings, planningDate })).statusCode).toBe(200);
    await runForecast(quietly(server));
    expect((await budget()).years[0]).toBe(Number(planningDate.slice(0, 4)));
    expect([...Compile(BudgetSchema).Errors(await server.store.readBudget())]).toEqual([]);
    expect([...Compile(ModelReportSchema).Errors(await server.store.readModelReport())]).toEqual([]);
    for (const { id } of (await segments()).slice(0, 5)) await getJson<SegmentCard>(server, `/api/segments/${id}`);
  }
});
