import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type HistoryText, historyTexts, type Open } from '../../../../server/store/sqlite/history-texts.ts';
import { textsByThread } from '../../../../server/store/sqlite/history-thread.ts';
import { historiesOf } from '../../../../server/store/sqlite/model-histories.ts';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import { loadNetwork, sampleNetwork } from './sample-network.ts';

const BATCHES = 12;
const folder = mkdtempSync(join(tmpdir(), 'history-thread-'));
const path = join(folder, 'store.sqlite');

beforeAll(async () => {
  const store = openSqliteStore(path, { today: () => '2024-06-01' });
  await loadNetwork(store, sampleNetwork({ segments: 100 * BATCHES - 1, seed: 3 }));
  await store.close();
});
afterAll(() => rmSync(folder, { recursive: true }));

async function all<T>(parts: AsyncIterable<T> | Iterable<T>): Promise<T[]> {
  const taken: T[] = [];
  for await (const part of parts) taken.push(part);
  return taken;
}

const workerNamed = (name: string) => ({ workerUrl: new URL(`./${name}`, import.meta.url) });

test('a second thread reads the same histories, in the same batches', async () => {
  const open: Open = new Set();
  const alone = await all(historiesOf(historyTexts(path)));
  expect(alone.length).toBe(BATCHES);
  expect(await all(historiesOf(textsByThread(path, open)))).toEqual(alone);
  expect(open.size).toBe(0);
});

test('it is never further ahead than it may be, however slowly its batches are taken', async () => {
  const options = { ...workerNamed('strict-history-worker.mjs'), mostAhead: 2 };
  let batches = 0;
  for await (const _ of textsByThread(path, new Set(), options)) {
    batches++;
    for (let turn = 0; turn < 100; turn++) await setImmediate();
  }
  expect(batches).toBe(BATCHES);
});

test('it is gone when its reader has left, by stopping or by throwing', async () => {
  for (const mostAhead of [1, 2, 64]) {
    const open: Open = new Set();
    for await (const _ of textsByThread(path, open, { mostAhead })) break;
    expect(open.size).toBe(0);
    const failing = async () => {
      for await (const _ of textsByThread(path, open, { mostAhead })) throw new Error('enough');
    };
    await expect(failing()).rejects.toThrow('enough');
    expect(open.size).toBe(0);
  }
});

test('what stops it is the error of its reader', async () => {
  const broken = join(folder, 'broken.sqlite');
  writeFileSync(broken, 'not a database, and long enough to be looked at as one: '.repeat(100));
  const open: Open = new Set();
  await expect(all(textsByThread(broken, open))).rejects.toThrow(/not a database/);
  await expect(all(textsByThread(path, open, workerNamed('dying-history-worker.mjs')))).rejects.toThrow(/ended early/);
  await expect(all(textsByThread(path, open, workerNamed('no-such-worker.mjs')))).rejects.toThrow(/no-such-worker/);
  expect(open.size).toBe(0);
});

test('a store closed meanwhile is an error, not a shorter network', async () => {
  const open: Open = new Set();
  const taken: HistoryText[] = [];
  const reading = async () => {
    for await (const text of textsByThread(path, open, { mostAhead: 1 })) {
      taken.push(text);
      for (const each of open) each.close();
    }
  };
  await expect(reading()).rejects.toThrow(/ended early/);
  expect(taken.length).toBeLessThan(BATCHES);
});
