import { describe, expect, test } from 'vitest';
import { guardFormula } from '../../../../server/import/refused-csv.ts';
import type { Facility } from '../../../../server/schemas/facility.ts';
import type { Segment } from '../../../../server/schemas/segment.ts';
import { AGENCY, collection, feature, load, sentences } from './agency-files.ts';

const mend = (csv: string, from: string | RegExp, to: string): string => {
  expect(csv).toMatch(from);
  return csv.replace(from, to);
};

test('refused rows come with their own columns and the reason; mended, they are loaded', async () => {
  const seals =
    'segmentId,sealantClass,installed,Crew\nS1,hot-applied,2010-02-30,"Crew A, night"\nS1,hot-applied,2015,B\n';
  const first = await load({ ...AGENCY, 'seals.csv': seals });
  const csv = first.refusedCsv('seals.csv');
  expect(csv).toBe(
    '\uFEFFsegmentId,sealantClass,installed,Crew,reason\r\n' +
      'S1,hot-applied,2010-02-30,"Crew A, night","installed is 2010-02-30; expected a day, month or year (YYYY-MM-DD, ' +
      'YYYY-MM, YYYY) or a range of two (2003/2006). 2010-02 has 28 days."\r\n',
  );
  const second = await load({ 'refused.csv': mend(csv, '2010-02-30', '2010-02-28') }, {}, first.store);
  expect(second.result).toMatchObject([{ kind: 'seals', inserted: 1, refused: 0 }]);
  expect(first.store.rows('seals')).toHaveLength(2);
});

test('segments come as CSV with their line as text, and go back with the same line', async () => {
  const lines = [
    [
      [-100.123456789, 40],
      [-99.9, 40.00000001, 12.5],
    ],
    [
      [
        [-100, 40],
        [-99.999, 40],
      ],
      [
        [-99.998, 40],
        [-99.997, 40],
      ],
    ],
  ];
  const features = [
    feature({ id: 'A', widthMm: 0.5, note: { by: 'crew "7"' } }, lines[0]),
    feature({ id: 'B', jointType: 'diagonal', route: null }, lines[1], 'MultiLineString'),
  ];
  const first = await load({ ...AGENCY, 'segments.geojson': collection(...features) });
  expect(first.store.rows('segments')).toEqual([]);
  const csv = first.refusedCsv('segments.geojson');
  expect(csv.split('\r\n')[0]).toBe(
    '\uFEFFid,facilityId,jointType,widthMm,jointCount,sealedLengthM,note,route,geometry,reason',
  );
  const mended = mend(mend(csv, ',0.5,', ',12.5,'), ',diagonal,', ',longitudinal,');
  const second = await load({ 'mended.csv': mended }, {}, first.store);
  expect(sentences(second.previews['mended.csv'])).toEqual([]);
  expect(first.store.rows<Segment>('segments').map((segment) => segment.geometry.coordinates)).toEqual(lines);
});

test('what is no line stays to be mended by hand', async () => {
  const features = [{ ...feature(), geometry: null }, feature({}, [-100, 40], 'Point'), feature({}, [[-100, 40]])];
  const { refusedCsv } = await load({ ...AGENCY, 'segments.geojson': collection(...features) });
  const cells = refusedCsv('segments.geojson').split('\r\n').slice(1, 4);
  expect(cells[0]).toContain(',64.8,,geometry is empty;');
  expect(cells[1]).toContain('"{""type"":""Point"",""coordinates"":[-100,40]}"');
  expect(cells[2]).toContain('LINESTRING (-100 40)');
});

test('a file said to have latitude first comes back with longitude first', async () => {
  const choices = { 'segments.geojson': { swapLonLat: true } };
  const swapped = collection(
    feature({ jointType: 'diagonal' }, [
      [40, -100],
      [40, -99.999],
    ]),
  );
  const first = await load({ ...AGENCY, 'segments.geojson': swapped }, choices);
  const csv = first.refusedCsv('segments.geojson');
  expect(csv).toContain('"LINESTRING (-100 40, -99.999 40)"');
  const { previews } = await load({ 'mended.csv': mend(csv, ',diagonal,', ',isolation,') }, {}, first.store);
  expect(previews['mended.csv'].rowsAccepted).toBe(1);
});

test('units that no name said go into the names, so a handful of mended rows is read as before', async () => {
  const days = Array.from({ length: 28 }, (_, i) => `W1,2020-02-${String(i + 1).padStart(2, '0')},${60 + i},40,0.25`);
  const content = ['STATION,DATE,TMAX,TMIN,PRCP', ...days, 'W1,2020-02-30,50,41,1'].join('\n');
  const first = await load({ ...AGENCY, 'climate.csv': content });
  const csv = first.refusedCsv('climate.csv');
  expect(csv.split('\r\n')[0]).toBe('\uFEFFSTATION,DATE,TMAX [F],TMIN [F],PRCP [in],reason');
  await load({ 'mended.csv': mend(csv, '2020-02-30', '2020-03-01') }, {}, first.store);
  expect(first.store.rows('climate').at(-1)).toMatchObject({ maxC: 10, minC: 5, precipitationMm: 25.4 });
});

test('a unit the user set against the name replaces it', async () => {
  const seals = 'segmentId,sealantClass,installed,widthMm\nS1,hot-applied,2010-02-30,0.5\n';
  const { refusedCsv } = await load({ ...AGENCY, 'seals.csv': seals }, { 'seals.csv': { units: { widthMm: 'in' } } });
  expect(refusedCsv('seals.csv').split('\r\n')[0]).toBe('\uFEFFsegmentId,sealantClass,installed,width [in],reason');
});

test("the file's own delimiter is kept, and an old reason gives way to the new one", async () => {
  const content = 'id;kind;name;district;widthM;reason\nH1;canal;A;North;3,5;old reason\nH2;highway;B;North;4,5;\n';
  const first = await load({ 'facilities.csv': content });
  const csv = first.refusedCsv('facilities.csv');
  expect(csv.split('\r\n')).toEqual([
    '\uFEFFid;kind;name;district;widthM;reason',
    'H1;canal;A;North;3,5;"kind is canal; expected one of highway, bridge, runway, taxiway, apron."',
    '',
  ]);
  const second = await load({ 'again.csv': mend(csv, ';canal;', ';bridge;') }, {}, first.store);
  expect(second.previews['again.csv'].rowsAccepted).toBe(1);
  expect(first.store.rows<Facility>('facilities').at(-1)?.widthM).toBe(3.5);
});

test('rows with too few or too many cells keep their columns in place', async () => {
  const content = 'id,kind,name,district\nH1,highway\nH2,highway,B,North,east,side\n';
  const { refusedCsv, previews } = await load({ 'facilities.csv': content });
  const [, short, long] = refusedCsv('facilities.csv').split('\r\n');
  expect(short.startsWith('H1,highway,,,"row is 2 cells')).toBe(true);
  expect(long).toContain('H2,highway,B,North,"row is 6 cells');
  expect(previews['facilities.csv'].problems[1].hint).toBe(
    'Put quotes round a text that holds the delimiter. Left over: east side',
  );
});

describe('cells that a spreadsheet would run as a formula', () => {
  test.each([
    ['=1+1', "'=1+1"],
    ['+cmd', "'+cmd"],
    ['-2+3', "'-2+3"],
    ['@sum', "'@sum"],
    ['\tx', "'\tx"],
    ["'=x", "''=x"],
    ['-71.25', '-71.25'],
    ['+3,5', '+3,5'],
    ["it's", "it's"],
    ['', ''],
  ])('%s', (cell, guarded) => {
    expect(guardFormula(cell)).toBe(guarded);
  });

  test('are guarded on the way out and read back unchanged', async () => {
    const name = '=HYPERLINK("x")';
    const content = `id,kind,name,district,=A1\n@H1,canal,"${name.replaceAll('"', '""')}",'+North,-x\n`;
    const first = await load({ 'facilities.csv': content });
    const csv = first.refusedCsv('facilities.csv');
    for (const line of csv.slice(1).split('\r\n')) {
      for (const cell of line.split(',')) expect(cell.replace(/^"/, '')).not.toMatch(/^[=+\-@\t\r]/);
    }
    await load({ 'mended.csv': mend(csv, ',canal,', ',highway,') }, {}, first.store);
    expect(first.store.rows<Facility>('facilities')).toMatchObject([{ id: '@H1', name, district: '+North' }]);
  });
});
