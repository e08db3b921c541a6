import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { makeDemo } from '../../data-demo/make.ts';
import type { Job } from '../../server/schemas/job.ts';
import type { FileChoice, Load } from '../../server/schemas/load.ts';
import { getJson } from './demo-app.ts';
import { LOOPBACK, load, upload } from './load-over-http.ts';
import { FACILITIES_CSV, SMALL_AGENCY } from './small-agency.ts';
import { startApp, type TestApp } from './start-app.ts';

let files: string;
beforeAll(async () => {
  files = await mkdtemp(path.join(tmpdir(), 'kerfcast-jobs-'));
  await makeDemo({ segments: 500, outDir: files, seed: 1 });
  const climate = path.join(files, 'climate.csv');
  const days = (await readFile(climate, 'utf8')).split('\n');
  await writeFile(climate, days.slice(0, 60_000).join('\n'));
});
afterAll(() => rm(files, { recursive: true, force: true }));

let server: TestApp;
beforeEach(async () => {
  server = await startApp();
});
afterEach(() => server.close());

const post = async <T>(url: string, payload?: object): Promise<T> => {
  const answer = await server.app.inject({ method: 'POST', url, headers: LOOPBACK, payload });
  expect([url, answer.statusCode < 300]).toEqual([url, true]);
  return answer.json();
};
const get = <T>(url: string) => getJson<T>(server, url);
const startForecast = () => post<Job>('/api/forecasts', {});

/** Resolves once the job is as wanted. */
const when = (id: string, wanted: (job: Job) => boolean) =>
  new Promise<void>((resolve, reject) => {
    const look = (job: Job | null) => {
      if (job && wanted(job)) resolve();
      else if (!job || job.finishedAt) reject(new Error(`job ${id} ended before that`));
    };
    server.jobs.watch(id, look);
    server.jobs.find(id).then(look);
  });

const RECORDS = ['facilities.csv', 'segments.geojson', 'seals.csv', 'inspections.csv'];
/** Decades of days: long enough to be stopped in the middle. */
const WITH_CLIMATE = [...RECORDS, 'stations.csv', 'climate.csv'];

/** The demo's files, sent and previewed. */
async function readyLoad(names: readonly string[] = RECORDS): Promise<Load> {
  const choices: FileChoice[] = [];
  for (const name of names) {
    const sent = await upload(server, name, await readFile(path.join(files, name)));
    choices.push({ uploadId: sent.json().id });
  }
  const started = await post<Load>('/api/loads', { choices });
  await server.jobs.ended(started.jobId ?? '');
  return get<Load>(`/api/loads/${started.id}`);
}

interface Event {
  event: string;
  job: Job;
}
const eventsOf = (body: string): Event[] =>
  body
    .split('\n\n')
    .filter(Boolean)
    .map((text) => {
      const [event, data] = text.split('\n');
      return { event: event.replace('event: ', ''), job: JSON.parse(data.replace('data: ', '')) };
    });

describe('progress', () => {
  test('comes as events that grow, and end with the end', async () => {
    const ready = await readyLoad();
    const { jobId } = await post<Load>(`/api/loads/${ready.id}/commit`);
    const answer = await server.app.inject({ url: `/api/jobs/${jobId}/events`, headers: LOOPBACK });
    expect(answer.headers).toMatchObject({ 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
    const events = eventsOf(answer.body);
    expect(new Set(events.map(({ event }) => event))).toEqual(new Set(['job']));
    expect(events.length).toBeGreaterThan(3);
    const shares = events.map(({ job }) => job.progress);
    expect(shares).toEqual(shares.toSorted((a, b) => a - b));
    expect(events.at(-1)?.job).toMatchObject({ id: jobId, state: 'done', progress: 1, error: null });
    expect(events.slice(0, -1).every(({ job }) => job.finishedAt === null)).toBe(true);
  });

  test('of a job that has ended is its end alone', async () => {
    const { id } = await startForecast();
    await server.jobs.ended(id);
    const answer = await server.app.inject({ url: `/api/jobs/${id}/events`, headers: LOOPBACK });
    expect(eventsOf(answer.body).map(({ job }) => job.state)).toEqual(['done']);
  });

  test('many listeners all hear the end, whenever they begin to listen', async () => {
    const { id } = await startForecast();
    const listening = Array.from({ length: 30 }, async (_, i) => {
      if (i % 3 === 1) await when(id, (job) => job.state === 'running');
      if (i % 3 === 2) await server.jobs.ended(id);
      const answer = await server.app.inject({ url: `/api/jobs/${id}/events`, headers: LOOPBACK });
      return eventsOf(answer.body).at(-1)?.job.state;
    });
    expect(new Set(await Promise.all(listening))).toEqual(new Set(['done']));
  });
});

describe('cancelling', () => {
  test('a load leaves nothing, says so, and the same files can be loaded after', async () => {
    const ready = await readyLoad(WITH_CLIMATE);
    const counts = await get('/api/records');
    const { jobId } = await post<Load>(`/api/loads/${ready.id}/commit`);
    await when(jobId ?? '', (job) => job.progress > 0.1);
    await post(`/api/jobs/${jobId}/cancel`);
    await server.jobs.ended(jobId ?? '');
    expect(await server.jobs.ended(jobId ?? '')).toMatchObject({ state: 'cancelled', step: 'Cancelled', error: null });
    expect(await get(`/api/loads/${ready.id}`)).toMatchObject({ state: 'cancelled', result: null });
    expect(await get('/api/records')).toEqual(counts);
    expect(await get('/api/version')).toMatchObject({ dataVersion: 0 });
    await server.store.checkIntegrity();

    const again = await server.app.inject({
      method: 'PUT',
      url: `/api/loads/${ready.id}`,
      headers: LOOPBACK,
      payload: { choices: ready.choices },
    });
    await server.jobs.ended(again.json().jobId);
    const second = await post<Load>(`/api/loads/${ready.id}/commit`);
    expect((await server.jobs.ended(second.jobId ?? '')).state).toBe('done');
    expect(await get('/api/records')).toMatchObject({ segments: 500 });
  });

  test('a preview that is asked for again with other choices makes way for the new one', async () => {
    const ready = await readyLoad();
    const put = () =>
      server.app.inject({
        method: 'PUT',
        url: `/api/loads/${ready.id}`,
        headers: LOOPBACK,
        payload: { choices: ready.choices.slice(0, 1) },
      });
    const first: Load = (await put()).json();
    const second: Load = (await put()).json();
    expect((await server.jobs.ended(first.jobId ?? '')).state).toBe('cancelled');
    expect((await server.jobs.ended(second.jobId ?? '')).state).toBe('done');
    const load = await get<Load>(`/api/loads/${ready.id}`);
    expect([load.state, load.jobId, load.files.length]).toEqual(['ready', second.jobId, 1]);
  });

  test('work that waits never begins; work that has ended stays as it was', async () => {
    const [first, second] = [await startForecast(), await startForecast()];
    const cancelled = await post<Job>(`/api/jobs/${second.id}/cancel`);
    expect(cancelled).toMatchObject({ state: 'cancelled', progress: 0 });
    expect((await server.jobs.ended(first.id)).state).toBe('done');
    expect(await post<Job>(`/api/jobs/${first.id}/cancel`)).toMatchObject({ state: 'done', error: null });
    expect(await get('/api/version')).toMatchObject({ modelVersion: 1 });
  });
});

describe('the queue', () => {
  test('works on one at a time, in order, and a page loaded anew finds what runs and what waits', async () => {
    await load(server, SMALL_AGENCY);
    const order: string[] = [];
    const jobs = [await startForecast(), await startForecast(), await startForecast()];
    for (const { id } of jobs) {
      server.jobs.watch(id, (job) => {
        if (job.step === 'Starting' || job.finishedAt) order.push(`${id} ${job.state}`);
      });
    }
    await when(jobs[0].id, (job) => job.state === 'running');
    const listed = (await get<Job[]>('/api/jobs')).filter(({ kind }) => kind === 'forecast');
    expect(listed.map(({ id, state }) => [id, state])).toEqual([
      [jobs[2].id, 'queued'],
      [jobs[1].id, 'queued'],
      [jobs[0].id, 'running'],
    ]);
    expect(listed[0].step).toBe('Waiting for its turn');
    await Promise.all(jobs.map(({ id }) => server.jobs.ended(id)));
    const begun = `${jobs[0].id} running`; // before this test began to watch, or after
    expect([begun, ...order.filter((line) => line !== begun)]).toEqual(
      jobs.flatMap(({ id }) => [`${id} running`, `${id} done`]),
    );
    expect(await get('/api/version')).toMatchObject({ modelVersion: 3 });
  });

  test('goes on after work that failed, and the load says why', async () => {
    const sent = (await upload(server, 'facilities.csv', FACILITIES_CSV)).json();
    const started = await post<Load>('/api/loads', { choices: [{ uploadId: sent.id }] });
    await server.jobs.ended(started.jobId ?? '');
    await rm(path.join(server.dataFolder, 'uploads', sent.id), { recursive: true });
    const { jobId } = await post<Load>(`/api/loads/${started.id}/commit`);
    const next = await startForecast();
    expect(await server.jobs.ended(jobId ?? '')).toMatchObject({
      state: 'failed',
      error: expect.stringContaining('send it again'),
    });
    const failed = await get<Load>(`/api/loads/${started.id}`);
    expect([failed.state, failed.error]).toEqual(['failed', expect.stringContaining('send it again')]);
    expect((await server.jobs.ended(next.id)).state).toBe('done');
  });
});

test('what an earlier stop cut off is told as such, and can be begun again', async () => {
  const ready = await readyLoad();
  const job: Job = {
    ...(await get<Job>(`/api/jobs/${ready.jobId}`)),
    id: 'cut-off',
    state: 'running',
    finishedAt: null,
  };
  await server.store.saveJob(job);
  await server.store.saveLoad({ ...ready, jobId: job.id, state: 'loading' });
  expect(await server.store.recoverInterrupted()).toBe(2);
  expect(await get<Job>('/api/jobs/cut-off')).toMatchObject({ state: 'interrupted', finishedAt: expect.any(String) });
  const load = await get<Load>(`/api/loads/${ready.id}`);
  expect([load.state, load.error]).toEqual(['failed', expect.stringMatching(/\S/)]);
  const again = await server.app.inject({
    method: 'PUT',
    url: `/api/loads/${ready.id}`,
    headers: LOOPBACK,
    payload: { choices: ready.choices.slice(0, 1) },
  });
  await server.jobs.ended(again.json().jobId);
  expect(await get(`/api/loads/${ready.id}`)).toMatchObject({ state: 'ready', error: null });
});

test.each(['/api/jobs/none', '/api/jobs/none/events', '/api/loads/none'])('%s is 404', async (url) => {
  expect((await server.app.inject({ url, headers: LOOPBACK })).statusCode).toBe(404);
});
