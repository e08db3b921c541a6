import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { JobRunner } from '../../../../server/jobs/job-runner.ts';
import type { Job } from '../../../../server/schemas/job.ts';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import type { Store } from '../../../../server/store/store.ts';

let folder: string;
let store: Store;
beforeEach(() => {
  folder = mkdtempSync(path.join(tmpdir(), 'kerfcast-runner-'));
  store = openSqliteStore(path.join(folder, 'kerfcast.sqlite'));
});
afterEach(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

/** The store, with a fault in writing down some jobs. */
const withFault = (fault: (job: Job) => boolean): Store =>
  new Proxy(store, {
    get: (target, name) => {
      if (name !== 'saveJob') {
        const member = Reflect.get(target, name);
        return typeof member === 'function' ? member.bind(target) : member;
      }
      return async (job: Job) => {
        if (fault(job)) throw new Error('disk full');
        return target.saveJob(job);
      };
    },
  });
const runnerOn = (onStore: Store): JobRunner =>
  new JobRunner({ store: onStore, databasePath: path.join(folder, 'kerfcast.sqlite'), dataFolder: folder });
const FORECAST = { kind: 'forecast', title: 'Forecast', loadId: null } as const;

test('a job whose end cannot be written down ends all the same, and the next one runs', async () => {
  let faults = 1;
  const jobs = runnerOn(withFault((job) => job.finishedAt !== null && faults-- > 0));
  const first = await jobs.start(FORECAST);
  const second = await jobs.start(FORECAST);
  expect((await jobs.ended(first.id)).finishedAt).not.toBeNull();
  expect((await jobs.ended(second.id)).state).toBe('done');
  await jobs.close();
});

test('a job that cannot be written down is not begun', async () => {
  let faults = 1;
  const jobs = runnerOn(withFault(() => faults-- > 0));
  await expect(jobs.start(FORECAST)).rejects.toThrow('disk full');
  expect(await store.modelVersion()).toBeNull();
  const next = await jobs.start(FORECAST);
  expect((await jobs.ended(next.id)).state).toBe('done');
  expect(await store.modelVersion()).toBe(1);
  await jobs.close();
});

test('closing stops what runs and what waits, and leaves nothing under way', async () => {
  const jobs = runnerOn(store);
  const started = [await jobs.start(FORECAST), await jobs.start(FORECAST), await jobs.start(FORECAST)];
  await jobs.close();
  for (const { id } of started) expect((await store.findJob(id))?.state).toBe('cancelled');
  expect(await store.recoverInterrupted()).toBe(0);
});

test('asking for the end of a job that never was is an error, not a wait', async () => {
  const jobs = runnerOn(store);
  await expect(jobs.ended('none')).rejects.toThrow('No job none');
  await expect(jobs.cancel('none')).rejects.toThrow('No job none');
});
