import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { StoreError } from '../../../../server/store/errors.ts';
import { MIGRATIONS } from '../../../../server/store/sqlite/migrate.ts';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import { sampleRules, sampleSchedule, storedClosure } from './sample-closures.ts';
import { loadNetwork, sampleNetwork } from './sample-network.ts';
import { sampleInputs, sampleProgram, sampleWork } from './sample-program.ts';

let folder: string;
let path: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'store-file-'));
  path = join(folder, 'records', 'store.sqlite');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function faultOf(open: () => unknown): string {
  try {
    open();
  } catch (error) {
    if (error instanceof StoreError) return `${error.fault}: ${error.message}`;
    throw error;
  }
  return 'opened';
}

const OWNER = 0x4b657266;

/** A file as the layout of an earlier version left it, with one segment, its seal and an inspection. */
function makeOldFile(file: string, version: number): void {
  const db = new Database(file);
  for (const sql of MIGRATIONS.slice(0, version)) db.exec(sql);
  db.pragma(`application_id = ${OWNER}`);
  db.pragma(`user_version = ${version}`);
  // One line from 97.5 W 35 N to 97.49 W 35 N: kind 1 with two numbers a point, one part, two points.
  const line = Buffer.from(Int32Array.of(513, 1, 2, -975_000_000, 350_000_000, -974_900_000, 350_000_000).buffer);
  db.exec(`INSERT INTO facility (id, kind, name, district) VALUES ('A', 'highway', 'Road', 'North');
    UPDATE meta SET value = 41 WHERE key = 'dataVersion';`);
  db.prepare(
    `INSERT INTO segment (id, facilityId, district, jointType, baseType, coarseAggregate, sealedLengthM, fuelExposure,
       consequenceWeight, unsealedByPolicy, lon, lat, geometry)
     VALUES ('S1', 'A', 'North', 'longitudinal', 'granular', 'granite', 900, 0, 1, 0, -97.495, 35, ?)`,
  ).run(line);
  db.exec(`INSERT INTO segmentBox VALUES (1, -97.5, -97.49, 35, 35);
    INSERT INTO seal (id, segmentRow, sealantClass, installedFrom, installedTo, preparation)
      VALUES ('k', 1, 'polysulfide', '2014-06-01', '2014-06-01', 'unknown');
    INSERT INTO inspection (id, segmentRow, inspectedOn, method, damagedShare)
      VALUES ('i', 1, '2019-06-01', 'joint-length', 0.4);`);
  if (version >= 2) db.exec('INSERT INTO state (segmentRow) VALUES (1)');
  db.close();
}

test('a new file gets the newest layout and is marked as ours', async () => {
  await openSqliteStore(path).close();
  const db = new Database(path, { readonly: true });
  expect(db.pragma('user_version', { simple: true })).toBe(MIGRATIONS.length);
  expect(db.pragma('application_id', { simple: true })).toBe(OWNER);
  expect(db.pragma('journal_mode', { simple: true })).toBe('wal');
  db.close();
});

test.each([1, 2, 3, 4, 6])(
  'rows of layout %i are kept, and what was not computed then is computed',
  async (version) => {
    const file = join(folder, 'old.sqlite');
    makeOldFile(file, version);
    const store = openSqliteStore(file, { today: () => '2024-06-01' });
    expect(await store.dataVersion()).toBe(41);
    expect(await store.findState('S1')).toMatchObject({ sealId: 'k', damagedShare: 0.4, forecast: null });
    expect((await store.findState('S1'))?.ageYears).toBeCloseTo(10, 1);
    expect(await store.runsInBox(4, [-98, 34, -97, 36], {})).toMatchObject([{ segments: 1, distressedM: 900 }]);
    expect((await store.findSegment('S1'))?.geometry).toEqual({
      type: 'LineString',
      coordinates: [
        [-97.5, 35],
        [-97.49, 35],
      ],
    });
    await store.checkIntegrity();
    await store.close();
  },
);

test('a file of before there were scenarios takes them', async () => {
  const file = join(folder, 'old.sqlite');
  makeOldFile(file, 6);
  const store = openSqliteStore(file, { today: () => '2024-06-01' });
  expect(await store.listScenarios()).toEqual([]);
  await store.addScenario({ id: 'a', name: 'First', note: '', inputs: sampleInputs(), createdAt: '2024-06-01' });
  await store.writeProgram('a', sampleProgram([sampleWork('S1')]));
  expect((await store.segmentsInBox([-98, 34, -97, 36], {}, 1, 'a'))[0].workByYear?.[0]).toBe(1);
  expect((await store.findSegment('S1'))?.seals).toHaveLength(1);
  await store.checkIntegrity();
  await store.close();
});

test('a file of before there were closures takes them', async () => {
  const file = join(folder, 'old.sqlite');
  makeOldFile(file, 7);
  const store = openSqliteStore(file, { today: () => '2024-06-01' });
  const { closures } = store;
  expect(await closures.listClosurePlans()).toEqual([]);
  await closures.addClosurePlan({ id: 'a', name: 'First', note: '', rules: sampleRules(), createdAt: '2024-06-01' });
  const note = { sentence: 'Scheduled.', closureId: null, changedAt: '2024-06-02' };
  await closures.writeSchedule('a', 1, sampleSchedule('a', [storedClosure()]), note);
  expect((await closures.readSchedule('a'))?.closures).toEqual([storedClosure()]);
  expect((await closures.findSegments(['S1']))[0].seals).toHaveLength(1);
  await store.checkIntegrity();
  await store.close();
});

test('a file of before there were directions has none, and takes them', async () => {
  const file = join(folder, 'old.sqlite');
  makeOldFile(file, 8);
  const store = openSqliteStore(file, { today: () => '2024-06-01' });
  const none = { direction: null, firstLane: null, lastLane: null };
  expect((await store.findSegment('S1'))?.segment).toMatchObject(none);
  expect((await store.closures.readDirections()).size).toBe(0);
  await store.checkIntegrity();
  await store.close();
});

test('a file of a later version is refused, with the next step', () => {
  const file = join(folder, 'later.sqlite');
  makeOldFile(file, 1);
  const db = new Database(file);
  db.pragma('user_version = 99');
  db.close();
  expect(faultOf(() => openSqliteStore(file))).toMatch(/^newer: .*layout 99.*Update the program/);
});

test("another program's database is refused and left as it is", () => {
  const file = join(folder, 'other.sqlite');
  const db = new Database(file);
  db.exec('CREATE TABLE something (a); INSERT INTO something VALUES (1)');
  db.close();
  const before = readFileSync(file);
  expect(faultOf(() => openSqliteStore(file))).toMatch(/^foreign: .*another program/);
  expect(readFileSync(file)).toEqual(before);
});

test('a file that is no database, or one with broken pages, gives a clear error', async () => {
  const text = join(folder, 'text.sqlite');
  writeFileSync(text, 'segment,length\n'.repeat(1000));
  expect(faultOf(() => openSqliteStore(text))).toMatch(/^damaged: .*text\.sqlite is damaged or not a database/);

  const store = openSqliteStore(path);
  await loadNetwork(store, sampleNetwork({ segments: 300, seed: 3 }));
  await store.close();
  const bytes = readFileSync(path);
  bytes.fill(0xa5, 8192, 8192 + 24_000);
  writeFileSync(path, bytes);
  expect(faultOf(() => openSqliteStore(path))).toMatch(/^damaged: /);
});

test('damage that comes later is found by the integrity check', async () => {
  const store = openSqliteStore(path);
  await loadNetwork(store, sampleNetwork({ segments: 40, seed: 3 }));
  const db = new Database(path);
  db.pragma('foreign_keys = OFF');
  db.exec('DELETE FROM segment WHERE row = 1');
  db.close();
  await expect(store.checkIntegrity()).rejects.toThrow(/records without the one they belong to/);
  await store.close();
});

test('a store in memory loads like any other and leaves no file', async () => {
  const store = openSqliteStore(':memory:');
  await loadNetwork(store, sampleNetwork({ segments: 40, seed: 3 }));
  expect((await store.countRecords()).segments).toBe(40);
  await store.close();
});

test('a write that cannot get its turn says so', async () => {
  const store = openSqliteStore(path, { busyLimitMs: 50 });
  const load = await store.beginLoad();
  await expect(store.writeBudget({})).rejects.toMatchObject({ fault: 'busy' });
  load.rollback();
  await store.writeBudget({ rows: [] });
  expect(await store.readBudget()).toEqual({ rows: [] });
  await store.close();
});
