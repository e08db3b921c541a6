import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { modelVersions } from '../../server/forecasting/model-versions.ts';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import type { Budget } from '../../server/schemas/budget.ts';
import type { SegmentCard } from '../../server/schemas/card.ts';
import type { SegmentPage, Summary } from '../../server/schemas/forecast.ts';
import type { Job } from '../../server/schemas/job.ts';
import type { ModelReport } from '../../server/schemas/model.ts';
import {
  type ModelComparison,
  ModelComparisonSchema,
  type ModelVersions,
  ModelVersionsSchema,
} from '../../server/schemas/models.ts';
import type { Settings } from '../../server/schemas/settings.ts';
import { getJson, quietly, startDemo } from './demo-app.ts';
import { LOOPBACK } from './load-over-http.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
beforeAll(async () => {
  server = await startDemo();
});
afterAll(() => server.close());

const get = <T>(url: string) => getJson<T>(server, url);
const send = (method: 'POST' | 'PUT', url: string, payload?: object) =>
  server.app.inject({ method, url, headers: LOOPBACK, payload });
const segments = async () => (await get<SegmentPage>('/api/segments?limit=1000')).items;
const everyForecast = async () => ({
  rows: await segments(),
  budget: { ...(await get<Budget>('/api/budget')), modelVersion: 0 },
  summary: await get<Summary>('/api/summary'),
});

async function ended(answer: Awaited<ReturnType<typeof send>>): Promise<Job> {
  expect(answer.statusCode).toBe(202);
  const job = await server.jobs.ended(answer.json().id);
  expect([job.state, job.error]).toEqual(['done', null]);
  return job;
}

describe('the forecast with damaged shares', () => {
  test('says that it uses them, how damage grows and how inspectors read', async () => {
    const { condition, agesAlone, fit, damageGrowth } = await get<ModelReport>('/api/model');
    expect(condition).toMatchObject({ used: true, status: 'ok', warnings: [] });
    expect(condition?.sentence).toMatch(/^Damaged shares of \d+ seals/);
    expect(condition?.readings).toBeGreaterThan(1000);
    expect(condition?.exponent?.median).toBeGreaterThan(1);
    expect(condition?.inspectors.length).toBeGreaterThan(1);
    const names = condition?.inspectors.map(({ name }) => name) ?? [];
    expect(names).toEqual(names.toSorted());
    expect(agesAlone).toMatchObject({ observations: fit.observations, failures: fit.failures });
    expect(damageGrowth).toBeNull();
  });

  test("the card's curve passes through the forecast of each year end", async () => {
    const read = (await segments()).filter(({ damagedShare, failedNowProbability }) => {
      return (damagedShare ?? 0) > 0 && (failedNowProbability ?? 1) < 1;
    });
    expect(read.length).toBeGreaterThan(5);
    for (const { id } of read.slice(0, 12)) {
      const { curve, forecast } = await get<SegmentCard>(`/api/segments/${id}`);
      if (!curve || !forecast) throw new Error(`no curve of ${id}`);
      for (const [y, failed] of forecast.failedByYearEnd.slice(0, 19).entries()) {
        const at = forecast.planningYear + y + 1;
        const right = curve.years.findIndex((year) => year >= at);
        // Survival falls, so at a year end it lies between its neighbours; six digits are kept.
        expect(1 - failed).toBeLessThanOrEqual(curve.survival[right - 1] + 2e-6);
        expect(1 - failed).toBeGreaterThanOrEqual(curve.survival[right] - 2e-6);
      }
    }
  });

  test('what falls due first is what the segments say has failed by then', async () => {
    const [rows, { totals }] = [await segments(), await get<Budget>('/api/budget')];
    const cards = await Promise.all(rows.map(({ id }) => get<SegmentCard>(`/api/segments/${id}`)));
    const planned = cards.filter(({ segment }) => !segment.unsealedByPolicy && segment.leftAloneReason === null);
    const expected = planned.reduce(
      (sum, { segment, forecast }) => sum + segment.sealedLengthM * (forecast?.failedByYearEnd[0] ?? 0),
      0,
    );
    expect(Math.abs(totals[0].lengthM.median / expected - 1)).toBeLessThan(0.03);
  });

  test('off, the threshold model stands as it was, and the report says why', async () => {
    const settings = await get<Settings>('/api/settings');
    await send('PUT', '/api/settings', { ...settings, conditionModel: 'off' });
    await runForecast(quietly(server));
    const report = await get<ModelReport>('/api/model');
    expect(report.condition).toMatchObject({ used: false, exponent: null, inspectors: [] });
    expect(report.condition?.sentence).toMatch(/settings say not to/);
    expect(report.damageGrowth?.exponent).toBeGreaterThan(0);
    expect(report.fit.logLikelihood).toBe(report.agesAlone?.logLikelihood);
    await send('PUT', '/api/settings', settings);
  });
});

describe('model versions', () => {
  test('are listed newest first, one of them in use, each with its measures', async () => {
    const { current, versions } = await get<ModelVersions>('/api/models');
    expect([...Compile(ModelVersionsSchema).Errors(await modelVersions(server.store))]).toEqual([]);
    expect(versions.map(({ version }) => version)).toEqual([2, 1]);
    expect(versions.filter((each) => each.current).map(({ version }) => version)).toEqual([current]);
    for (const { aic, bic, parameters, logLikelihood, failures } of versions) {
      expect(aic).toBeCloseTo(2 * parameters - 2 * logLikelihood, 9);
      expect(bic).toBeCloseTo(parameters * Math.log(failures) - 2 * logLikelihood, 9);
    }
    // Damaged shares are in neither: the fits of ages alone agree.
    expect(versions[0].logLikelihood).toBe(versions[1].logLikelihood);
    expect(versions.map(({ conditionUsed }) => conditionUsed)).toEqual([false, true]);
  });

  test('an old one is adopted to the numbers of then, bit for bit, and everything names it', async () => {
    const second = await everyForecast();
    await ended(await send('POST', '/api/models/1/adopt'));
    expect((await get<ModelVersions>('/api/models')).current).toBe(1);
    expect((await get<ModelReport>('/api/model')).version).toBe(1);
    expect((await get<Budget>('/api/budget')).modelVersion).toBe(1);
    expect((await get<Settings>('/api/settings')).conditionModel).toBe('auto');
    const [{ id }] = await segments();
    expect((await get<SegmentCard>(`/api/segments/${id}`)).modelVersion).toBe(1);
    const first = await everyForecast();
    expect(first.rows).not.toEqual(second.rows);
    await ended(await send('POST', '/api/models/2/adopt'));
    expect(await everyForecast()).toEqual(second);
    await ended(await send('POST', '/api/models/1/adopt'));
    expect(await everyForecast()).toEqual(first);
    const { body } = await server.app.inject({ url: '/api/export/segments.csv', headers: LOOPBACK });
    const lines = body.trim().split('\n');
    expect(lines[0].endsWith(',modelVersion')).toBe(true);
    expect(new Set(lines.slice(1).map((line) => line.split(',').at(-1)))).toEqual(new Set(['1', '']));
  });

  test('a new fit after that is the next version, and in use', async () => {
    await runForecast(quietly(server));
    const { current, versions } = await get<ModelVersions>('/api/models');
    expect([current, versions.length]).toEqual([3, 3]);
  });

  test('one that there is not is refused', async () => {
    const answer = await send('POST', '/api/models/99/adopt');
    expect([answer.statusCode, answer.json().type]).toEqual([404, '/api/docs#not-found']);
    expect((await send('POST', '/api/models/0/adopt')).statusCode).toBe(400);
  });
});

describe('totals', () => {
  test('hold the interval of what has failed by now, for all and for parts', async () => {
    const { facets, ...whole } = await get<Summary>('/api/summary');
    const check = ({ expectedFailedNowInterval: interval, expectedFailedNowM, sealedLengthM }: typeof whole) => {
      if (!interval) throw new Error('no interval');
      expect(interval.lower).toBeLessThan(expectedFailedNowM);
      expect(interval.upper).toBeGreaterThan(expectedFailedNowM);
      expect(interval.lower).toBeGreaterThanOrEqual(0);
      expect(interval.upper).toBeLessThanOrEqual(sealedLengthM);
      return interval.upper - interval.lower;
    };
    const width = check(whole);
    const parts = await Promise.all(
      facets.district.map(({ value }) => get<Summary>(`/api/summary?district=${encodeURIComponent(value)}`)),
    );
    const widths = parts.map(check);
    // Wider than if districts had nothing in common, narrower than if they were one.
    expect(width).toBeLessThan(widths.reduce((sum, each) => sum + each, 0));
    expect(width).toBeGreaterThan(0.8 * Math.hypot(...widths));
  });

  test('of an agency without a forecast have none', async () => {
    const empty = await startApp();
    expect((await getJson<Summary>(empty, '/api/summary')).expectedFailedNowInterval).toBeNull();
    expect(await getJson<ModelVersions>(empty, '/api/models')).toMatchObject({ current: null, versions: [] });
    await empty.close();
  });
});

describe('comparison', () => {
  test('before the first there are no rows', async () => {
    expect(await get<ModelComparison>('/api/comparisons')).toMatchObject({ madeAt: null, rows: [], outdated: false });
  });

  test('sets families, thresholds and covariates side by side, and says what compares', async () => {
    const request = {
      families: ['weibull', 'generalised-gamma'],
      thresholds: [0.1, 0.2],
      leaveOut: [[], ['width']],
    };
    await ended(await send('POST', '/api/comparisons', request));
    const table = await get<ModelComparison>('/api/comparisons');
    expect([...Compile(ModelComparisonSchema).Errors(table)]).toEqual([]);
    expect(table.rows).toHaveLength(8);
    const [now] = table.rows;
    expect(now).toMatchObject({ family: 'weibull', failureThresholdShare: 0.1, leftOut: [], current: true });
    const alike = table.rows.filter(({ comparable }) => comparable);
    expect(alike.map(({ failureThresholdShare }) => failureThresholdShare)).toEqual(alike.map(() => 0.1));
    expect(Math.min(...alike.map(({ aicDifference }) => aicDifference ?? Number.NaN))).toBe(0);
    const least = (family: string, leftOut: number) =>
      alike.find((row) => row.family === family && row.leftOut.length === leftOut);
    // One coefficient fewer, and no better a likelihood but for the prior on it.
    expect(least('weibull', 1)?.parameters).toBe((least('weibull', 0)?.parameters ?? 0) - 1);
    // The referee holds the other two as special cases.
    expect(least('generalised-gamma', 0)?.logLikelihood).toBeGreaterThan((now.logLikelihood ?? 0) - 0.5);
    expect(least('generalised-gamma', 0)).toMatchObject({ adoptable: false, backTestLogScore: null });
    expect(now.backTestLogScore).toBeGreaterThan(0);
    expect(now.backTestTrials).toBeGreaterThan(100);
    expect(now.medianLifeYears?.lower).toBeGreaterThan(now.tenPercentLifeYears?.upper ?? Number.NaN);
    expect(table.summary).toMatch(/least AIC/);
    const report = await get<ModelReport>('/api/model');
    expect(now.logLikelihood).toBeCloseTo(report.agesAlone?.logLikelihood ?? 0, 8);
  });

  test('a row is adopted by its settings, and then it is the present one', async () => {
    const settings = await get<Settings>('/api/settings');
    await send('PUT', '/api/settings', { ...settings, leftOutCovariates: ['width'] });
    const { rows } = await get<ModelComparison>('/api/comparisons');
    expect(rows.filter(({ current }) => current).map(({ leftOut }) => leftOut.map(({ name }) => name))).toEqual([
      ['width'],
    ]);
    await runForecast(quietly(server));
    const report = await get<ModelReport>('/api/model');
    expect(report.effects.map(({ name }) => name)).not.toContain('width');
    expect(report.summary).toMatch(/Left out by choice: joint width/);
    expect(report.settingsUsed.leftOutCovariates).toEqual(['width']);
    await send('PUT', '/api/settings', settings);
  });

  test('of too many models, or of what there is not, is refused', async () => {
    const leaveOut = Array.from({ length: 10 }, (_, i) => ['width', 'traffic', 'blasted'].slice(0, i % 4));
    const many = { families: ['weibull', 'lognormal'], thresholds: [0.05, 0.1, 0.2, 0.3], leaveOut };
    expect((await send('POST', '/api/comparisons', many)).statusCode).toBe(400);
    expect((await send('POST', '/api/comparisons', { leaveOut: [['moonlight']] })).statusCode).toBe(400);
    const settings = await get<Settings>('/api/settings');
    const moon = { ...settings, leftOutCovariates: ['moonlight'] };
    expect((await send('PUT', '/api/settings', moon)).statusCode).toBe(400);
  });
});
