import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import fc from 'fast-check';
import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { segmentsGeoJson } from '../../server/exports/segments.ts';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import { segmentCard } from '../../server/forecasting/segment-card.ts';
import { type ImportFile, loadFiles, previewFiles } from '../../server/import/load-files.ts';
import { RECORD_FIELDS } from '../../server/import/record-fields.ts';
import { BudgetSchema } from '../../server/schemas/budget.ts';
import { SegmentCardSchema } from '../../server/schemas/card.ts';
import type { FileChoice, FilePreview } from '../../server/schemas/load.ts';
import { ModelReportSchema } from '../../server/schemas/model.ts';
import { RECORD_KINDS, type RecordKind } from '../../server/schemas/words.ts';
import { openSqliteStore } from '../../server/store/sqlite/open.ts';
import type { Store } from '../../server/store/store.ts';
import { AGENCY } from '../unit/server/import/agency-files.ts';
import { json, NASTY_WORDS } from './hostile-inputs.ts';
import { TEST_TODAY } from './start-app.ts';

let folder: string;
let store: Store;
let read = 0;
const before = new Map<string, number>();

const run = (cancelled = () => false) => ({ store, today: TEST_TODAY, progress: () => undefined, cancelled });

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'kerfcast-malformed-'));
  store = openSqliteStore(path.join(folder, 'kerfcast.sqlite'));
  await loadFiles(
    Object.entries(AGENCY).map(([name, content]) => fileOf(name, content)),
    run(),
  );
  for (const [kind, count] of Object.entries(await store.countRecords())) before.set(kind, count);
  expect([...before.values()].every((count) => count > 0)).toBe(true);
});
afterAll(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

function fileOf(name: string, content: string | Uint8Array, choice: Partial<FileChoice> = {}): ImportFile {
  const file = path.join(folder, `${name.replaceAll(/\W/g, '-')}.upload`);
  writeFileSync(file, content);
  return { name, path: file, choice: { uploadId: name, ...choice }, refusedPath: `${file}.refused` };
}

/** Reads a file as a preview and as a load: nothing is thrown, every row is told, and what is written is what is said. */
async function expectSound(file: ImportFile): Promise<void> {
  read++;
  const version = await store.dataVersion();
  const counts = await store.countRecords();
  const [preview] = await previewFiles([file], run());
  expectTold(preview);
  expect([await store.dataVersion(), await store.countRecords()]).toEqual([version, counts]);
  const { result, previews } = await loadFiles([file], run());
  expect(previews[0]).toEqual(preview);
  for (const { kind, inserted } of result) counts[kind] += inserted;
  expect(await store.countRecords()).toEqual(counts);
  const changed = result.some(({ inserted, updated }) => inserted + updated > 0);
  expect(await store.dataVersion()).toBe(changed ? version + 1 : version);
}

function expectTold({ file, rowsRead, rowsAccepted, rowsRefused, problems }: FilePreview): void {
  expect(rowsAccepted + rowsRefused).toBe(rowsRead);
  if (rowsRefused > 0) expect(problems.length).toBeGreaterThan(0);
  for (const problem of problems) {
    expect(problem).toMatchObject({ file, field: expect.stringMatching(/\S/), expected: expect.stringMatching(/\S/) });
    expect(problem.row).toBeGreaterThan(0);
  }
}

const KINDS: Record<RecordKind, string> = {
  facilities: 'facilities.csv',
  segments: 'segments.geojson',
  seals: 'seals.csv',
  inspections: 'inspections.csv',
  stations: 'stations.csv',
  climate: 'climate.csv',
  'unit-costs': 'unit-costs.csv',
};

describe.each(RECORD_KINDS)('a file of %s', (kind) => {
  const seed = RECORD_KINDS.indexOf(kind) + 1;
  const choices = fc.constantFrom<Partial<FileChoice>>({}, { kind });

  test('of random bytes', async () => {
    const bytes = fc.oneof(
      fc.uint8Array({ maxLength: 300 }),
      fc.string({ unit: 'binary', maxLength: 300 }).map((text) => Buffer.from(text)),
      fc.string({ maxLength: 300 }).map((text) => Buffer.from(text, 'utf16le')),
    );
    await fc.assert(
      fc.asyncProperty(bytes, choices, (content, choice) => expectSound(fileOf(KINDS[kind], content, choice))),
      { seed, numRuns: 30 },
    );
  });

  test('with pieces cut out, doubled and put in', async () => {
    const sound = String(AGENCY[KINDS[kind]]);
    const edit = fc.record({
      at: fc.nat(sound.length),
      remove: fc.nat(20),
      insert: fc.oneof(fc.constantFrom(...NASTY_WORDS), fc.constantFrom('"', ',', '\n', '[', '{', '\u001e', '1e999')),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(edit, { minLength: 1, maxLength: 4 }), choices, async (edits, choice) => {
        let text = sound;
        for (const { at, remove, insert } of edits) text = text.slice(0, at) + insert + text.slice(at + remove);
        await expectSound(fileOf(KINDS[kind], text, choice));
      }),
      { seed, numRuns: 40 },
    );
  });

  test('with any words under the right names', async () => {
    const names = RECORD_FIELDS[kind].map(({ field }) => field);
    const cell = fc.oneof(
      fc.constantFrom(...NASTY_WORDS),
      fc.constantFrom('S1', '2015-06-01', '12', '0.5', 'hot-applied'),
    );
    const rows = fc.array(fc.array(cell, { minLength: names.length, maxLength: names.length }), {
      minLength: 1,
      maxLength: 4,
    });
    await fc.assert(
      fc.asyncProperty(rows, async (cells) => {
        const lines = [names, ...cells].map((row) => row.map((word) => `"${word.replaceAll('"', '""')}"`).join(','));
        await expectSound(fileOf(`${kind}.csv`, lines.join('\n'), { kind }));
      }),
      { seed, numRuns: 30 },
    );
  });
});

describe('GeoJSON', () => {
  const { features } = JSON.parse(String(AGENCY['segments.geojson'])) as {
    features: { geometry: object; properties: object }[];
  };
  const [sound] = features;
  const feature = fc.oneof(
    json,
    json.map((geometry) => ({ ...sound, geometry })),
    json.map((coordinates) => ({ ...sound, geometry: { ...sound.geometry, coordinates } })),
    fc
      .tuple(fc.constantFrom(...Object.keys(sound.properties)), json)
      .map(([name, value]) => ({ ...sound, properties: { ...sound.properties, [name]: value } })),
    fc
      .array(fc.array(fc.oneof(fc.double(), fc.constantFrom(-180, 180, 90, 0, 1e308)), { maxLength: 4 }), {
        maxLength: 4,
      })
      .map((coordinates) => ({ ...sound, geometry: { type: 'LineString', coordinates } })),
  );

  test.each([
    ['a collection', (each: unknown[]) => JSON.stringify({ type: 'FeatureCollection', features: each })],
    ['a text sequence (RFC 8142)', (each: unknown[]) => each.map((f) => `\u001e${JSON.stringify(f)}\n`).join('')],
    ['lines', (each: unknown[]) => each.map((f) => JSON.stringify(f)).join('\n')],
  ])('of any values in %s', async (_name, written) => {
    await fc.assert(
      fc.asyncProperty(fc.array(feature, { minLength: 1, maxLength: 4 }), (each) =>
        expectSound(fileOf('segments.geojson', written(each))),
      ),
      { seed: 11, numRuns: 70 },
    );
  });

  test.each([
    '['.repeat(200_000),
    `{"type":"FeatureCollection","features":[${'['.repeat(50_000)}`,
    `{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"LineString","coordinates":${'['.repeat(20_000)}${']'.repeat(20_000)}},"properties":{}}]}`,
    `{"type":"FeatureCollection","features":[${'{"a":'.repeat(20_000)}1${'}'.repeat(20_000)}]}`,
    `{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"id":"${'x'.repeat(300_000)}"}}]}`,
    '{"type":"FeatureCollection","features":[]}',
    '{"type":"FeatureCollection"}',
    '{"type":"FeatureCollection","features":{"0":{}}}',
    '{"features":[],"features":[{}],"type":"FeatureCollection"}',
    '\u001e\u001e\u001e',
    '\u001e{"type":"Feature"',
  ])('too deep, too long or cut off (%#)', async (content) => {
    await expectSound(fileOf('segments.geojson', content));
  });
});

test('a load stopped at any moment writes nothing', async () => {
  const files = Object.entries(AGENCY).map(([name, content]) =>
    fileOf(`new-${name}`, String(content).replaceAll('H1', 'H9').replaceAll('S1', 'S9').replaceAll('W1', 'W9')),
  );
  const counts = await store.countRecords();
  const version = await store.dataVersion();
  for (let stopAt = 0; stopAt < 20; stopAt++) {
    read++;
    let looks = 0;
    await expect(
      loadFiles(
        files,
        run(() => looks++ >= stopAt),
      ),
    ).rejects.toThrow(/Cancelled/);
    expect([await store.dataVersion(), await store.countRecords()]).toEqual([version, counts]);
  }
});

test('whatever was accepted can be forecast, shown on a card and exported', async () => {
  const counts = await store.countRecords();
  expect(counts.segments).toBeGreaterThan(before.get('segments') ?? 0);
  await runForecast({ ...run(), dataFolder: folder, keep: () => undefined });
  expect([...Compile(ModelReportSchema).Errors(await store.readModelReport())]).toEqual([]);
  expect([...Compile(BudgetSchema).Errors(await store.readBudget())]).toEqual([]);
  const { items } = await store.listSegments({ filter: {}, sort: 'id', descending: false, limit: 1000, after: null });
  expect(items).toHaveLength(counts.segments);
  const card = Compile(SegmentCardSchema);
  for (const { id } of items) expect([id, ...card.Errors(await segmentCard(store, id))]).toEqual([id]);
  let text = '';
  for await (const piece of segmentsGeoJson(store, {})) text += piece;
  expect(JSON.parse(text).features).toHaveLength(counts.segments);
});

test('more than 900 files were read, and the store is whole', async () => {
  expect(read).toBeGreaterThan(900);
  await store.checkIntegrity();
});
