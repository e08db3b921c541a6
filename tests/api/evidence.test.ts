import { parse } from 'csv-parse/sync';
import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { makeEvidence } from '../../server/evidence/make-evidence.ts';
import { EVIDENCE } from '../../server/evidence/stored-evidence.ts';
import { EVIDENCE_EXPORTS, type EvidenceReport, EvidenceReportSchema } from '../../server/schemas/evidence.ts';
import { MOST_SEGMENT_IDS } from '../../server/schemas/evidence-odd.ts';
import type { Job } from '../../server/schemas/job.ts';
import { getJson, quietly, startDemo } from './demo-app.ts';
import { LOOPBACK } from './load-over-http.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
beforeAll(async () => {
  server = await startDemo();
});
afterAll(() => server.close());

const evidence = (query = '') => getJson<EvidenceReport>(server, `/api/evidence${query}`);
const post = () => server.app.inject({ method: 'POST', url: '/api/evidence', headers: LOOPBACK });
const isReport = Compile(EvidenceReportSchema);

async function makeAndRead(): Promise<EvidenceReport> {
  const started = await post();
  expect(started.statusCode).toBe(202);
  const job = await server.jobs.ended(started.json<Job>().id);
  expect([job.state, job.error]).toEqual(['done', null]);
  return evidence();
}

test('before any test of a model the answer says so, and without a model none can be started', async () => {
  const refused = await server.app.inject({ url: '/api/evidence', headers: LOOPBACK });
  expect([refused.statusCode, refused.json().type]).toEqual([404, '/api/docs#no-evidence']);
  const empty = await startApp();
  const answer = await empty.app.inject({ method: 'POST', url: '/api/evidence', headers: LOOPBACK });
  expect([answer.statusCode, answer.json().type]).toEqual([404, '/api/docs#no-forecast']);
  await empty.close();
});

describe('evidence of the demo', () => {
  let report: EvidenceReport;
  beforeAll(async () => {
    report = await makeAndRead();
  });

  test('what is stored, before any serialiser touches it, is as the schema says', async () => {
    expect([...isReport.Errors(await server.store.readDocument(EVIDENCE))]).toEqual([]);
    expect([...isReport.Errors(report)]).toEqual([]);
    expect(report.modelVersion).toBe(1);
    expect(await evidence('?modelVersion=1')).toEqual(report);
    const none = await server.app.inject({ url: '/api/evidence?modelVersion=7', headers: LOOPBACK });
    expect(none.statusCode).toBe(404);
  });

  test('the verdict stands on four past dates, each with a fit of its own, and names the figures', () => {
    const { backtest, settingsUsed } = report;
    expect(backtest?.verdict.sentence).toMatch(/budget.*later looks/);
    expect(settingsUsed.cutoffs).toEqual(['2017-12-31', '2019-12-31', '2021-12-31', '2023-12-31']);
    expect(backtest?.cutoffFits.map(({ cutoff }) => cutoff)).toEqual(settingsUsed.cutoffs);
    const failures = backtest?.cutoffFits.map((fit) => fit.failures) ?? [];
    expect(failures).toEqual(failures.toSorted((a, b) => a - b));
    expect(backtest?.others.map(({ name }) => name)).toEqual([
      'ages alone',
      'fixed life',
      'class curve',
      'age ranking',
    ]);
    const looks = backtest?.model.byDistrict.reduce((sum, { trials }) => sum + trials, 0);
    expect(looks).toBe(backtest?.trials);
  });

  test('the model that made the records is near to what is found, and beats the simple methods', () => {
    // The demo's lives come from a Weibull model with these covariates (data-demo/true-model.ts).
    const total = report.backtest?.model.total;
    expect(Math.abs((total?.expected ?? 0) / (total?.found ?? 1) - 1)).toBeLessThan(0.1);
    for (const { logSkill } of report.backtest?.comparisons ?? []) expect(logSkill).toBeGreaterThan(0);
    const ratio = report.diagnostics?.observedExpected?.overall.ratio ?? 0;
    expect(Math.abs(ratio - 1)).toBeLessThan(0.1);
    expect(report.diagnostics?.coxSnell?.largestGap).toBeLessThan(0.1);
    expect(report.diagnostics?.entryAge?.drift).toBe(false);
  });

  test('the diagnostics are of the rows of the fit, class by class and covariate by covariate', async () => {
    const model = await getJson<{ fit: { observations: number }; classes: { observations: number }[] }>(
      server,
      '/api/model',
    );
    const { diagnostics } = report;
    expect(diagnostics?.rows).toBe(model.fit.observations);
    const used = model.classes.filter(({ observations }) => observations > 0);
    expect(diagnostics?.probabilityPlots).toHaveLength(used.length);
    for (const { bins } of diagnostics?.residuals ?? [])
      expect(bins.reduce((sum, { rows }) => sum + rows, 0)).toBe(diagnostics?.rows);
  });

  test('lots of the demo are made by chance alone, so none is named; lists lead to segments that exist', async () => {
    const { groupings, early, influential, contradictory } = report.odd;
    expect(groupings.map(({ name }) => name)).toEqual(['lot', 'facility', 'district']);
    expect(groupings.flatMap(({ odd }) => odd)).toEqual([]);
    for (const list of [early, influential, contradictory]) {
      expect(list?.count).toBeGreaterThan(0);
      expect(list?.segmentIds.length).toBe(Math.min(MOST_SEGMENT_IDS, list?.segments ?? -1));
      expect(new Set(list?.seals.map(({ segmentId }) => segmentId))).toEqual(new Set(list?.segmentIds));
    }
    const [first] = early.seals;
    expect(first.chance).toBeLessThanOrEqual(0.05);
    expect(first.failedYears).toBeLessThan(first.medianLifeYears / 2);
    await getJson(server, `/api/segments/${encodeURIComponent(first.segmentId)}`);
  });

  test('made again, in this thread instead of a worker, it is the same but for its time', async () => {
    const stored = async () => (await server.store.readDocument(EVIDENCE)) as EvidenceReport;
    const byWorker = await stored();
    await makeEvidence(quietly(server));
    const byThread = await stored();
    expect(byThread.madeAt >= byWorker.madeAt).toBe(true);
    for (const part of Object.keys(byWorker) as (keyof EvidenceReport)[]) {
      if (part === 'madeAt') continue;
      const same = JSON.stringify(byThread[part]) === JSON.stringify(byWorker[part]);
      expect([part, same]).toEqual([part, true]);
    }
  }, 120_000);

  test('a test that is cancelled leaves the earlier evidence as it was', async () => {
    const before = await evidence();
    const started = await post();
    const { id } = started.json<Job>();
    await new Promise<void>((resolve) => {
      server.jobs.watch(id, ({ step, finishedAt }) => {
        if (finishedAt || step.startsWith('Reading')) resolve();
      });
    });
    await server.app.inject({ method: 'POST', url: `/api/jobs/${id}/cancel`, headers: LOOPBACK });
    expect((await server.jobs.ended(id)).state).toBe('cancelled');
    expect(await evidence()).toEqual(before);
  });

  test('it steps aside for work that people ask for', async () => {
    const { id } = (await post()).json<Job>();
    const asked = await server.app.inject({ method: 'POST', url: '/api/budget/recompute', headers: LOOPBACK });
    expect((await server.jobs.ended(id)).state).toBe('cancelled');
    expect((await server.jobs.ended(asked.json<Job>().id)).state).toBe('done');
  });

  test.each([
    ['calibration', ['method', 'group', 'label', 'looks', 'found', 'expected'], 60],
    ['observed-expected', ['group', 'label', 'inspectionIntervals', 'observed', 'expected', 'ratio'], 25],
    ['probability-plot', ['sealantClass', 'what', 'failedShare', 'quantile', 'fromYears', 'toYears'], 300],
    ['odd', ['list', 'name', 'segmentId', 'sealId', 'seals', 'failures', 'expectedFailures', 'lifeRatio'], 50],
  ])('%s leaves as CSV with its columns and the model version', async (part, columns, least) => {
    expect(EVIDENCE_EXPORTS).toContain(part);
    const answer = await server.app.inject({ url: `/api/export/evidence/${part}.csv`, headers: LOOPBACK });
    expect(answer.headers['content-type']).toContain('text/csv');
    expect(answer.headers['content-disposition']).toContain(`"${part}.csv"`);
    const rows = parse(answer.body, { columns: true }) as Record<string, string>[];
    expect(rows.length).toBeGreaterThan(least);
    expect(Object.keys(rows[0]).slice(0, columns.length)).toEqual(columns);
    expect(new Set(rows.map(({ modelVersion }) => modelVersion))).toEqual(new Set(['1']));
  });

  test('a part that is none is refused by name', async () => {
    const answer = await server.app.inject({ url: '/api/export/evidence/everything.csv', headers: LOOPBACK });
    expect([answer.statusCode, answer.body.includes('probability-plot')]).toEqual([400, true]);
  });
});
