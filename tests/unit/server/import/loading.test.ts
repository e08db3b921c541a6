import { readdirSync } from 'node:fs';
import { expect, test } from 'vitest';
import { loadFiles, previewFiles } from '../../../../server/import/load-files.ts';
import { ImportCancelled } from '../../../../server/import/row-problem.ts';
import type { ClimateStation } from '../../../../server/schemas/climate.ts';
import type { Seal } from '../../../../server/schemas/seal.ts';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import { AGENCY, type Contents, collection, feature, load, preview, sentences, writeFiles } from './agency-files.ts';
import { MemoryStore } from './memory-store.ts';

test('the order of the files does not matter: what is referred to is written first', async () => {
  const backwards: Contents = Object.fromEntries(Object.entries(AGENCY).reverse());
  const { store, result } = await load(backwards);
  expect(store.batches).toEqual([
    'stations',
    'facilities',
    'segments',
    'climate',
    'seals',
    'inspections',
    'unit-costs',
  ]);
  expect(result.map(({ file, inserted }) => [file, inserted])).toEqual([
    ['unit-costs.csv', 2],
    ['climate.csv', 2],
    ['stations.csv', 1],
    ['inspections.csv', 2],
    ['seals.csv', 2],
    ['segments.geojson', 1],
    ['facilities.csv', 2],
  ]);
});

test('loading the same files twice changes nothing; a changed file updates', async () => {
  const { store } = await load(AGENCY);
  const again = await load(AGENCY, {}, store);
  expect(again.result.every(({ inserted, updated }) => inserted + updated === 0)).toBe(true);
  expect(again.result.map(({ unchanged }) => unchanged)).toEqual([2, 1, 2, 2, 1, 2, 2]);
  const changed = { 'inspections.csv': String(AGENCY['inspections.csv']).replace('0.05,', '0.06,') };
  expect((await load(changed, {}, store)).result).toEqual([
    { file: 'inspections.csv', kind: 'inspections', inserted: 0, updated: 1, unchanged: 1, refused: 0 },
  ]);
});

test('rows may refer to what is stored already', async () => {
  const { store } = await load(AGENCY);
  const { previews } = await load(
    {
      'seals.csv': 'segmentId,sealantClass,installed\nS1,polysulfide,2020\n',
      'more.geojson': collection(feature({ id: 'S2' })),
      'late.csv': 'segmentId,inspectedOn,damagedShare\nS1,2000-05-01,0\n',
    },
    {},
    store,
  );
  expect(Object.values(previews).flatMap(sentences)).toEqual([
    'late.csv row 2, inspectedOn is 2000-05-01; expected a day on or after the first installation. ' +
      'Its first seal was installed 2001-01-01.',
  ]);
  expect(store.rows<Seal>('seals')).toHaveLength(3);
});

test('a refused facility takes its segments with it, and theirs', async () => {
  const { previews, store } = await load({
    ...AGENCY,
    'facilities.csv': 'id,kind,name,district\nH1,canal,Ditch,North\n',
  });
  expect(
    ['facilities.csv', 'segments.geojson', 'seals.csv', 'inspections.csv'].map((f) => previews[f].rowsRefused),
  ).toEqual([1, 1, 2, 2]);
  expect(store.rows('segments')).toEqual([]);
});

test('positions in a climate file make its stations', async () => {
  const content =
    'STATION,NAME,LATITUDE,LONGITUDE,ELEVATION,DATE,PRCP,TMAX,TMIN\n' +
    'W1,Field (invented),40.1,-100.1,700,2020-01-01,0,3.5,-4\n' +
    'W1,Field (invented),40.1,-100.1,700,2020-01-02,1,4,\n' +
    'W2,"Hill, east (invented)",40.3,-100.4,,2020-01-01,0,-9999,-6\n';
  const { store, result } = await load({ 'daily.csv': content });
  expect(
    store
      .rows<ClimateStation>('stations')
      .map(({ id, lon, elevationM, sourceRow }) => [id, lon, elevationM, sourceRow]),
  ).toEqual([
    ['W1', -100.1, 700, 2],
    ['W2', -100.4, null, 4],
  ]);
  expect(result).toEqual([
    { file: 'daily.csv', kind: 'stations', inserted: 2, updated: 0, unchanged: 0, refused: 0 },
    { file: 'daily.csv', kind: 'climate', inserted: 3, updated: 0, unchanged: 0, refused: 0 },
  ]);
});

test('cancelling leaves nothing, at whatever moment', async () => {
  const many = collection(...Array.from({ length: 5000 }, (_, i) => feature({ id: `S${i}` })));
  const contents = { ...AGENCY, 'segments.geojson': many };
  let asked = 0;
  await loadFiles(writeFiles(contents), { ...new MemoryStore().run(), cancelled: () => ++asked < 0 });
  expect(asked).toBeGreaterThan(30);
  for (let moment = 1; moment <= asked; moment += 3) {
    const store = new MemoryStore();
    let looked = 0;
    const cancelled = () => ++looked >= moment;
    await expect(loadFiles(writeFiles(contents), { ...store.run(), cancelled })).rejects.toThrow(ImportCancelled);
    expect([store.tables.size, store.rollbacks]).toEqual([0, 1]);
  }
});

test('a store that fails makes the load fail, rolled back', async () => {
  const store = new MemoryStore();
  const run = store.run();
  const beginLoad = async () => {
    const transaction = await run.store.beginLoad();
    const commit = () => {
      throw new Error('disk full');
    };
    return { ...transaction, commit };
  };
  await expect(loadFiles(writeFiles(AGENCY), { ...run, store: { ...run.store, beginLoad } })).rejects.toThrow(
    'disk full',
  );
  expect([store.tables.size, store.rollbacks]).toEqual([0, 1]);
});

test('progress rises to 1 and says what is done', async () => {
  const told: [number, string][] = [];
  await loadFiles(writeFiles(AGENCY), {
    ...new MemoryStore().run(),
    progress: (share, step) => told.push([share, step]),
  });
  const shares = told.map(([share]) => share);
  expect(shares).toEqual([...shares].sort((a, b) => a - b));
  expect(told.at(-1)).toEqual([1, 'Loaded']);
  expect(told.map(([, step]) => step)).toContain('Checking seals.csv: 2 rows');
});

test('preview and load say the same', async () => {
  const contents = {
    ...AGENCY,
    'inspections.csv': 'segmentId,inspectedOn,damagedShare\nS1,2015-06-01,0.1\nS1,2015-13-01,0\n',
  };
  expect((await load(contents)).previews).toEqual(await preview(contents));
});

test('problems are shown up to 200, and all are counted', async () => {
  const rows = Array.from({ length: 3000 }, (_, i) => `H${i},canal,Ditch,`).join('\n');
  const { 'facilities.csv': read } = await preview({ 'facilities.csv': `id,kind,name,district\n${rows}` });
  expect(read.problems).toHaveLength(200);
  expect(read.rowsRefused).toBe(3000);
  expect(read.problemCounts.map(({ field, count }) => [field, count])).toEqual([
    ['kind', 3000],
    ['district', 3000],
  ]);
});

test('the SQLite store takes what the import gives, twice the same', async () => {
  const [first] = writeFiles({ 'kerfcast.db': '' });
  const store = openSqliteStore(`${first.path}.sqlite`);
  try {
    const run = { ...new MemoryStore().run(), store };
    const inserted = await loadFiles(writeFiles(AGENCY), run);
    expect(inserted.result.map((line) => line.inserted)).toEqual([2, 1, 2, 2, 1, 2, 2]);
    const unchanged = await loadFiles(writeFiles(AGENCY), run);
    expect(unchanged.result.map((line) => line.unchanged)).toEqual([2, 1, 2, 2, 1, 2, 2]);
  } finally {
    await store.close();
  }
});

test('a preview writes no file of refused rows when there is none', async () => {
  const files = writeFiles(AGENCY);
  await previewFiles(files, new MemoryStore().run());
  const folder = files[0].path.replace(/[^/]+$/, '');
  expect(readdirSync(folder).filter((name) => name.endsWith('.refused'))).toEqual([]);
});
