import { mkdirSync } from 'node:fs';
import { deflateRawSync, gzipSync } from 'node:zlib';
import { expect, test } from 'vitest';
import { previewFiles } from '../../../../server/import/load-files.ts';
import { AGENCY, collection, feature, load, preview, sentences, writeFiles } from './agency-files.ts';
import { MemoryStore } from './memory-store.ts';

const only = async (name: string, content: string | Uint8Array): Promise<string[]> =>
  sentences((await preview({ [name]: content }))[name]);

test.each([
  ['a.png', Buffer.from('89504e470d0a1a0a0000000d49484452', 'hex'), 'a PNG picture; expected text: GeoJSON or CSV.'],
  [
    'a.xlsx',
    Buffer.concat([Buffer.from('PK\u0003\u0004'), deflateRawSync('x')]),
    'a ZIP or spreadsheet file; expected text: GeoJSON or CSV. Unpack it, or save the sheet as CSV.',
  ],
  ['a.csv.gz', gzipSync('id,kind\n'), 'a gzip file; expected text: GeoJSON or CSV. Unpack it first.'],
  [
    'a.gpkg',
    Buffer.from('SQLite format 3\u0000'),
    'a database (GeoPackage?); expected text: GeoJSON or CSV. Export the layer as GeoJSON.',
  ],
  [
    'a.shp',
    Buffer.from('0000270a00000000', 'hex'),
    'a shapefile; expected text: GeoJSON or CSV. Export the layer as GeoJSON.',
  ],
  [
    'a.bin',
    Buffer.from(Array.from({ length: 512 }, (_, i) => (i * 7) % 256)),
    'not text; expected text: GeoJSON or CSV. Save the table as CSV or the layer as GeoJSON.',
  ],
  ['empty.csv', '', 'empty; expected text: GeoJSON or CSV.'],
])('%s is refused for what it is', async (name, content, sentence) => {
  expect(await only(name, content)).toEqual([`${name} row 1, file is ${sentence}`]);
});

test('a folder and a file that is gone are told, the others read', async () => {
  const files = writeFiles(AGENCY);
  const folder = `${files[0].path}-folder`;
  mkdirSync(folder);
  const previews = await previewFiles(
    [
      { choice: { uploadId: 'f' }, path: folder, name: 'folder' },
      { choice: { uploadId: 'g' }, path: `${folder}/gone`, name: 'gone.csv' },
      ...files,
    ],
    new MemoryStore().run(),
  );
  expect(previews.slice(0, 2).flatMap(sentences)).toEqual([
    'folder row 1, file is a folder; expected text: GeoJSON or CSV. Give the files inside it.',
    'gone.csv row 1, file is not there or not readable; expected text: GeoJSON or CSV. Upload it again.',
  ]);
  expect(previews.slice(2).every((each) => each.rowsRefused === 0)).toBe(true);
});

test.each(['\n\n \n', '\uFEFF', ',,,\n,,,\n'])('white space and bare delimiters: %j', async (content) => {
  expect(await only('blank.csv', content)).toEqual([
    'blank.csv row 1, header is empty; expected a row of column names.',
  ]);
});

test('names of prototypes are names like others', async () => {
  const name = '__proto__,constructor,toString,hasOwnProperty';
  const csv = await load({
    'facilities.csv': `id,kind,name,district,${name}\n__proto__,highway,constructor,toString,1,2,3,4\n`,
  });
  expect(csv.store.rows('facilities')).toMatchObject([{ id: '__proto__', name: 'constructor', district: 'toString' }]);
  const text = collection(feature({ id: 'constructor' })).replace(
    '"widthMm":12',
    '"__proto__":{"polluted":1},"widthMm":12',
  );
  const { previews, store } = await load(
    { ...AGENCY, 'segments.geojson': text },
    { 'segments.geojson': { columns: JSON.parse('{"__proto__":"","toString":"widthMm"}') } },
  );
  expect(sentences(previews['segments.geojson'])).toEqual([]);
  expect(store.rows('segments')).toMatchObject([{ id: 'constructor', widthMm: 12 }]);
  expect(({} as { polluted?: number }).polluted).toBeUndefined();
  const words = await only('facilities.csv', 'id,kind,name,district\nH1,constructor,__proto__,North\n');
  expect(words[0]).toContain('kind is constructor; expected one of highway');
});

test('types of geometry named after members of every object', async () => {
  for (const type of ['constructor', '__proto__', 'toString']) {
    const [sentence] = await preview({ ...AGENCY, 'segments.geojson': collection(feature({}, [], type)) }).then((p) =>
      sentences(p['segments.geojson']),
    );
    expect(sentence).toContain(`geometry is of type ${type}; expected a LineString`);
  }
});

test.each([
  ['lists', `${'['.repeat(200_000)}`],
  ['objects', `${'{"a":'.repeat(200_000)}`],
  [
    'a property',
    collection(feature({ deep: 1 })).replace('"deep":1', `"deep":${'['.repeat(100_000)}${']'.repeat(100_000)}`),
  ],
  [
    'nested collections of geometry',
    collection(feature({})).replace(
      '"LineString"',
      `"GeometryCollection","geometries":[${'{"type":"GeometryCollection","geometries":['.repeat(20_000)}${']}'.repeat(20_000)}]`,
    ),
  ],
])('deep nesting: %s', async (_, text) => {
  const { 'segments.geojson': read } = await preview({ ...AGENCY, 'segments.geojson': text });
  expect(read.rowsAccepted).toBe(0);
  expect(read.problems).toHaveLength(1);
});

test('a row without end is cut off with its place', async () => {
  const long = `id,kind,name,district\nH1,highway,A,North\nH2,highway,${'x'.repeat(5_000_000)},North\nH3,highway,C,North\n`;
  expect(await only('facilities.csv', long)).toEqual([
    'facilities.csv row 3, row is a row without end; expected rows of at most 4 MB, with quotes in pairs. ' +
      'Rows from here on were not read. Look for a stray quote mark in this row.',
  ]);
  const quote = 'id,kind,name,district\nH1,highway,A,North\nH2,highway,"B,North\nH3,highway,C,North\n';
  expect(await only('facilities.csv', quote)).toEqual([
    'facilities.csv row 3, row is an open quote that never closes; expected rows of at most 4 MB, with quotes in pairs. ' +
      'Rows from here on were not read. Look for a stray quote mark in this row.',
  ]);
});

test('a feature longer than any segment is refused, the next one read', async () => {
  const text = collection(feature({ note: 'x'.repeat(5_000_000) }), feature({ id: 'S2' }));
  const { 'segments.geojson': read } = await preview({
    'facilities.csv': AGENCY['facilities.csv'],
    'segments.geojson': text,
  });
  expect(read).toMatchObject({ rowsRead: 2, rowsAccepted: 1 });
  expect(read.problems[0].found).toBe('longer than 4 MB');
});

test('a header or a feature with thousands of columns', async () => {
  const header = Array.from({ length: 2000 }, (_, i) => `c${i}`).join(',');
  expect(await only('wide.csv', `${header}\n`)).toEqual([
    'wide.csv row 1, header is 2000 columns; expected at most 500 columns.',
  ]);
  const wide = Object.fromEntries(header.split(',').map((name) => [name, 1]));
  const { 'segments.geojson': read } = await preview({ ...AGENCY, 'segments.geojson': collection(feature(wide)) });
  expect(read.notes).toEqual(['Only the first 500 properties were looked at.']);
});

test('NUL bytes in a cell refuse the row alone', async () => {
  const { 'facilities.csv': read } = await preview({
    'facilities.csv': 'id,kind,name,district\nH\u00001,highway,A,North\nH2,highway,B,North\n',
  });
  expect(read).toMatchObject({ rowsAccepted: 1, rowsRefused: 1 });
  expect(read.problems[0]).toMatchObject({ field: 'id', expected: 'text without control characters' });
});

test.each(['1e999', '-1e400', 'Infinity', 'NaN', '0x1F', '١٢', '1'.repeat(400), '1e-999999999'])(
  'the number %s',
  async (number) => {
    const { 'facilities.csv': read } = await preview({
      'facilities.csv': `id,kind,district,widthM\nH1,highway,North,${number}\n`,
    });
    expect(read).toMatchObject({ rowsAccepted: 0, rowsRefused: 1 });
    expect(read.problems[0]).toMatchObject({ field: 'widthM', expected: 'above 0, at most 500 m' });
  },
);

test('a half of a character from JSON never reaches the store', async () => {
  const text = collection(feature({ id: 'half' })).replace('"half"', '"\\ud83d"');
  const { 'segments.geojson': read } = await preview({ ...AGENCY, 'segments.geojson': text });
  expect(read.problems[0]).toMatchObject({ field: 'id', expected: 'text without control characters' });
});
