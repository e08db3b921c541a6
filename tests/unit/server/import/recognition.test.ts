import { expect, test } from 'vitest';
import { recogniseKind } from '../../../../server/import/recognise-kind.ts';
import { RECORD_FIELDS } from '../../../../server/import/record-fields.ts';
import { RECORD_KINDS } from '../../../../server/schemas/words.ts';
import { AGENCY, FACILITIES, preview, sentences } from './agency-files.ts';

test.each(RECORD_KINDS)('%s are recognised by their own field names, whatever the file is called', (kind) => {
  const columns = RECORD_FIELDS[kind].map((spec) => spec.field);
  expect(recogniseKind(columns, 'export.csv')).toBe(kind);
});

test.each([
  ['Segment,Sealant,Date Installed,Spec,Crew', 'seals'],
  ['Joint ID,Inspection Date,Damage %,Remarks', 'inspections'],
  ['STATION,NAME,LATITUDE,LONGITUDE,ELEVATION', 'stations'],
  ['STATION,NAME,LATITUDE,LONGITUDE,ELEVATION,DATE,PRCP,TMAX,TMIN', 'climate'],
  ['Sealant Type,Joint,Unit Cost', 'unit-costs'],
  ['Facility Code,Type,District,AADT', 'facilities'],
])('%s are %s', (header, kind) => {
  expect(recogniseKind(header.split(','), 'table.csv')).toBe(kind);
});

test('a file of no known kind is told by its columns, and the other files are loaded all the same', async () => {
  const previews = await preview({ ...AGENCY, 'menu.csv': 'dish,price\nsoup,4\n' });
  expect(previews['menu.csv']).toMatchObject({ kind: null, rowsRead: 0, columns: [] });
  expect(sentences(previews['menu.csv'])).toEqual([
    'menu.csv row 1, header is dish, price; expected column names of facilities, segments, seals, inspections, stations, ' +
      'climate or unit costs. Say what the rows are, and which column is which field.',
  ]);
  expect(previews['segments.geojson'].rowsAccepted).toBe(1);
});

test('the user says what the rows and columns are', async () => {
  const content = 'Kennung,Art,Bezirk,Breite [ft]\nH1,highway,Nord,24\n';
  const columns = { Kennung: 'id', Art: 'kind', Bezirk: 'district', 'Breite [ft]': 'widthM' };
  const { 'anlagen.csv': read } = await preview(
    { 'anlagen.csv': content },
    { 'anlagen.csv': { kind: 'facilities', columns } },
  );
  expect(read).toMatchObject({ kind: 'facilities', kindGuessed: false, rowsAccepted: 1 });
  expect(read.columns[3]).toMatchObject({ field: 'widthM', unit: 'ft', unitGuessed: false });
});

test('a column can be left out, and choices that make no sense are noted', async () => {
  const { 'facilities.csv': read } = await preview(
    { 'facilities.csv': FACILITIES },
    { 'facilities.csv': { columns: { route: '', name: 'colour' }, units: { aadt: 'ft' } } },
  );
  expect(read.columns.map((column) => column.field)).toEqual(['id', 'kind', null, null, 'district', 'recordsFrom']);
  expect(read.notes.slice(0, 2)).toEqual([
    'There is no field colour of facilities; column name is not used.',
    'aadt cannot be read in ft; that choice was left out.',
  ]);
});

test('missing columns are listed, and rows refused for them', async () => {
  const { 'seals.csv': read } = await preview({ ...AGENCY, 'seals.csv': 'segmentId,installed\nS1,2010\n' });
  expect(read.missingColumns).toEqual(['sealantClass']);
  expect(read).toMatchObject({ rowsRead: 1, rowsRefused: 1 });
});

test('two columns for one field: the one with our own name is read', async () => {
  const content = 'sealant,sealantClass,segmentId,installed\nmystery,hot-applied,S1,2010\n';
  const { 'seals.csv': read } = await preview({ ...AGENCY, 'seals.csv': content });
  expect(read.rowsAccepted).toBe(1);
  expect(read.notes).toEqual(['sealantClass is read from column sealantClass; column sealant is not used.']);
});

test('GeoJSON said to be seals is refused as a file', async () => {
  const previews = await preview(AGENCY, { 'segments.geojson': { kind: 'seals' } });
  expect(sentences(previews['segments.geojson'])).toEqual([
    'segments.geojson row 1, file is GeoJSON; expected CSV for seals. GeoJSON holds segments.',
  ]);
});
