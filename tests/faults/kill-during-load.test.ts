import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makeDemo } from '../../data-demo/make.ts';
import { openSqliteStore } from '../../server/store/sqlite/open.ts';

/** Times a load is killed. Moments are spread over the length of a whole load, first to last. */
const KILLS = 20;
const CLI = path.resolve('dist/server/cli/main.js');
const FILES = ['facilities.csv', 'segments.geojson', 'seals.csv', 'inspections.csv', 'unit-costs.csv'];

let folder: string;
let small: string[];
let large: string[];

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'kerfcast-kill-'));
  await makeDemo({ segments: 200, outDir: path.join(folder, 'small'), seed: 1 });
  await makeDemo({ segments: 3000, outDir: path.join(folder, 'large'), seed: 1 });
  small = FILES.map((name) => path.join(folder, 'small', name));
  large = FILES.map((name) => path.join(folder, 'large', name));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const startLoad = (files: readonly string[], data: string): ChildProcess =>
  spawn(process.execPath, [CLI, 'load', ...files, '--data', data], { stdio: 'ignore' });

/** The code the process ended with, or the signal that ended it. */
const ended = (child: ChildProcess): Promise<number | string> =>
  new Promise((resolve) => child.once('exit', (code, signal) => resolve(code ?? signal ?? 'unknown')));

async function recordsIn(data: string) {
  const store = openSqliteStore(path.join(data, 'kerfcast.sqlite'));
  try {
    await store.checkIntegrity();
    return { counts: await store.countRecords(), version: await store.dataVersion() };
  } finally {
    await store.close();
  }
}

test(`a load killed at ${KILLS} moments leaves the earlier records whole, or all of the new ones`, async () => {
  const whole = path.join(folder, 'whole');
  await ended(startLoad(small, whole));
  const earlier = await recordsIn(whole);
  const began = performance.now();
  await ended(startLoad(large, whole));
  let loadMs = performance.now() - began;
  const later = await recordsIn(whole);
  expect(later.counts.segments).toBeGreaterThan(earlier.counts.segments);

  const data = path.join(folder, 'killed');
  await ended(startLoad(small, data));
  let cutOff = 0;
  for (let kill = 0; kill < KILLS; kill++) {
    const started = performance.now();
    const child = startLoad(large, data);
    const moment = (loadMs * (kill + 0.5)) / KILLS;
    const timer = setTimeout(() => child.kill('SIGKILL'), moment);
    const end = await ended(child);
    clearTimeout(timer);
    const found = await recordsIn(data);
    if (end !== 'SIGKILL') {
      loadMs = performance.now() - started; // the machine was busier when the first load was timed
      continue;
    }
    cutOff++;
    expect([earlier.counts, later.counts]).toContainEqual(found.counts);
  }
  expect(cutOff).toBeGreaterThan(KILLS / 2);
  await ended(startLoad(large, data));
  expect((await recordsIn(data)).counts).toEqual(later.counts);
}, 240_000);
