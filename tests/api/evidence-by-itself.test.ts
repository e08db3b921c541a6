import { afterAll, beforeAll, expect, test } from 'vitest';
import { ensureEvidence, evidenceAfter } from '../../server/evidence/keep-evidence.ts';
import { EVIDENCE } from '../../server/evidence/stored-evidence.ts';
import { JobRunner } from '../../server/jobs/job-runner.ts';
import type { EvidenceReport } from '../../server/schemas/evidence.ts';
import type { Job } from '../../server/schemas/job.ts';
import { startDemo } from './demo-app.ts';
import { startApp, TEST_TODAY, type TestApp } from './start-app.ts';

let server: TestApp;
let jobs: JobRunner;
beforeAll(async () => {
  server = await startDemo();
  const { store, databasePath, dataFolder } = server;
  const afterJob = (job: Job) => evidenceAfter(job, store, jobs);
  jobs = new JobRunner({ store, databasePath, dataFolder, today: () => TEST_TODAY, afterJob });
});
afterAll(async () => {
  await jobs.close();
  await server.close();
});

const started = async () => (await jobs.list(20)).filter(({ kind }) => kind === 'evidence');
const ended = async (job: Job | undefined) => (await jobs.ended(job?.id ?? '')).state;

test('once other work is done, a model without evidence is tested without being asked, and only once', async () => {
  await ended(await jobs.start({ kind: 'budget', title: 'Prices', loadId: null }));
  await expect.poll(async () => (await started()).length, { timeout: 30_000 }).toBe(1);
  expect(await ended((await started())[0])).toBe('done');
  const report = (await server.store.readDocument(EVIDENCE)) as EvidenceReport;
  // Three hundred segments are few: what cannot be told is said, and nothing is missing without a word.
  expect(report.backtest?.verdict.sentence ?? report.notes.join()).not.toBe('');
  await ensureEvidence(server.store, jobs);
  await ended(await jobs.start({ kind: 'budget', title: 'Prices', loadId: null }));
  await jobs.close();
  expect(await started()).toHaveLength(1);
}, 120_000);

test('without a model nothing is tested', async () => {
  const empty = await startApp();
  await ensureEvidence(empty.store, empty.jobs);
  expect(await empty.jobs.list(20)).toEqual([]);
  await empty.close();
});
