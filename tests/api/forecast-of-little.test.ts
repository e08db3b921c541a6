import { Compile } from 'typebox/compile';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import { type Budget, BudgetSchema } from '../../server/schemas/budget.ts';
import type { SegmentPage } from '../../server/schemas/forecast.ts';
import { type ModelReport, ModelReportSchema } from '../../server/schemas/model.ts';
import { getJson, quietly } from './demo-app.ts';
import { forecast, LOOPBACK, load } from './load-over-http.ts';
import { FACILITIES_CSV, SEALS_CSV, SEGMENTS_GEOJSON, SMALL_AGENCY, UNIT_COSTS_CSV } from './small-agency.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
beforeEach(async () => {
  server = await startApp();
});
afterEach(() => server.close());

const model = () => getJson<ModelReport>(server, '/api/model');
const budget = () => getJson<Budget>(server, '/api/budget');

async function expectSound(): Promise<void> {
  expect([...Compile(ModelReportSchema).Errors(await server.store.readModelReport())]).toEqual([]);
  expect([...Compile(BudgetSchema).Errors(await server.store.readBudget())]).toEqual([]);
}

test('before any forecast, model and budget are 404 and say what to do', async () => {
  for (const url of ['/api/model', '/api/budget', '/api/export/budget.csv', '/api/export/model-curves.csv']) {
    const answer = await server.app.inject({ url, headers: LOOPBACK });
    expect([url, answer.statusCode]).toEqual([url, 404]);
    expect(answer.json()).toMatchObject({
      type: '/api/docs#no-forecast',
      detail: expect.stringContaining('POST /api/forecasts'),
    });
  }
});

test('a store without segments is forecast: nothing is due', async () => {
  await forecast(server);
  await expectSound();
  expect((await model()).fit).toMatchObject({ status: 'no-events', observations: 0, failures: 0 });
  expect((await budget()).rows).toEqual([]);
  expect((await budget()).overall.cost.median).toBe(0);
});

test('three segments and one failure give a forecast that says how little it knows', async () => {
  await load(server, SMALL_AGENCY);
  await runForecast(quietly(server));
  await expectSound();
  const { fit, classes } = await model();
  expect(fit).toMatchObject({ converged: true, observations: 3, failures: 1 });
  for (const { dataShare } of classes) expect(dataShare).toBeLessThan(0.6);
  const { items } = await getJson<SegmentPage>(server, '/api/segments');
  const [s1, s2, s3] = items.map(({ failedNowProbability }) => failedNowProbability ?? Number.NaN);
  expect(s3).toBe(1); // found with 35 % damage
  for (const sound of [s1, s2]) expect(sound > 0 && sound < 1).toBe(true);
  expect(s1).toBeGreaterThan(s2); // 4 % damaged against 2 %
  expect(items[2].dueYear).toBe(2026);
});

test('an agency that has never inspected gets the published lives, and is told so', async () => {
  await load(server, {
    'facilities.csv': FACILITIES_CSV,
    'segments.geojson': SEGMENTS_GEOJSON,
    'seals.csv': SEALS_CSV,
    'unit-costs.csv': UNIT_COSTS_CSV,
  });
  await runForecast(quietly(server));
  await expectSound();
  const { fit, classes, dataUse } = await model();
  expect(fit.status).toBe('no-events');
  expect(fit.warnings.join(' ')).toMatch(/published lives/);
  expect(dataUse.find(({ rule }) => rule === 'never-inspected')).toMatchObject({ seals: 3, used: false });
  for (const { medianLifeYears, priorMedianLifeYears, dataShare, turnbull } of classes) {
    expect(dataShare).toBeLessThan(0.25);
    expect(turnbull).toEqual([]);
    expect(medianLifeYears.median / (priorMedianLifeYears ?? Number.NaN)).toBeCloseTo(1, 0);
  }
  const { items } = await getJson<SegmentPage>(server, '/api/segments');
  for (const row of items) {
    expect(row.failedNowProbability).toBeGreaterThan(0);
    expect(row.failedNowProbability).toBeLessThan(1);
  }
});

test('segments without any seal are listed without a forecast', async () => {
  await load(server, { 'facilities.csv': FACILITIES_CSV, 'segments.geojson': SEGMENTS_GEOJSON });
  await runForecast(quietly(server));
  await expectSound();
  const { items } = await getJson<SegmentPage>(server, '/api/segments');
  expect(items.map(({ failedNowProbability, dueYear }) => [failedNowProbability, dueYear])).toEqual([
    [null, null],
    [null, null],
    [null, null],
  ]);
  expect((await budget()).rows).toEqual([]);
});
