import { describe, expect, test } from 'vitest';
import type { Facility } from '../../../../server/schemas/facility.ts';
import type { Inspection } from '../../../../server/schemas/inspection.ts';
import type { Seal } from '../../../../server/schemas/seal.ts';
import type { Segment } from '../../../../server/schemas/segment.ts';
import type { UnitCost } from '../../../../server/schemas/unit-cost.ts';
import { AGENCY, collection, feature, LINE, load, preview, sentences } from './agency-files.ts';

const sealsOf = async (...rows: string[]) => {
  const content = ['segmentId,sealantClass,installed,removedOn', ...rows].join('\n');
  const { store, previews } = await load({
    ...AGENCY,
    'seals.csv': content,
    'inspections.csv': 'segmentId,inspectedOn,damagedShare\n',
  });
  expect(sentences(previews['seals.csv'])).toEqual([]);
  return store.rows<Seal>('seals');
};

describe('what a sound agency becomes', () => {
  test('a segment gets its defaults, its district and where it came from', async () => {
    const { store } = await load(AGENCY);
    expect(store.rows<Segment>('segments')).toEqual([
      {
        id: 'S1',
        facilityId: 'H1',
        district: 'North',
        jointType: 'transverse-contraction',
        direction: null,
        firstLane: null,
        lastLane: null,
        beginM: null,
        endM: null,
        slabLengthM: null,
        slabThicknessMm: null,
        baseType: 'unknown',
        coarseAggregate: 'unknown',
        widthMm: 12,
        widthAtC: null,
        reservoirDepthMm: null,
        jointCount: 18,
        sealedLengthM: 64.8,
        fuelExposure: false,
        consequenceWeight: 1,
        unsealedByPolicy: false,
        leftAloneReason: null,
        geometry: { type: 'LineString', coordinates: LINE },
        sourceFile: 'segments.geojson',
        sourceRow: 1,
      },
    ]);
  });

  test('direction and lanes are read as signs and lane numbers are written; one lane is first and last', async () => {
    const csv = `id,facilityId,jointType,sealedLengthM,dir,lane,to lane,geometry
A,H1,longitudinal,80,NB,2,,"LINESTRING(-100 40,-99.999 40)"
B,H1,longitudinal,80,against chainage,1,2,"LINESTRING(-100 40,-99.999 40)"
C,H1,longitudinal,80,,,,"LINESTRING(-100 40,-99.999 40)"
`;
    const { store, previews } = await load({ 'facilities.csv': AGENCY['facilities.csv'], 'segments.csv': csv });
    expect(sentences(previews['segments.csv'])).toEqual([]);
    expect(
      store.rows<Segment>('segments').map(({ direction, firstLane, lastLane }) => [direction, firstLane, lastLane]),
    ).toEqual([
      ['northbound', 2, 2],
      ['decreasing', 1, 2],
      [null, null, null],
    ]);
  });

  test('seals and inspections get stable keys', async () => {
    const { store } = await load(AGENCY);
    expect(store.rows<Seal>('seals').map(({ id, removalReason }) => [id, removalReason])).toEqual([
      ['S1@2001-01-01', 'failed'],
      ['S1@2010-06-01', null],
    ]);
    expect(store.rows<Inspection>('inspections')[1]).toEqual({
      id: 'S1@2016-05-01@joint-length',
      segmentId: 'S1',
      inspectedOn: '2016-05-01',
      method: 'joint-length',
      inspector: null,
      damagedShare: 0.05,
      damageShares: { 'adhesive-failure': 0.04 },
      severity: null,
      notes: null,
      photographs: [],
      sourceFile: 'inspections.csv',
      sourceRow: 3,
    });
  });

  test('a facility without a name is called by its id, and a note says so', async () => {
    const { store, previews } = await load({ 'facilities.csv': 'id,kind,district\nH7,road,North\n' });
    expect(store.rows<Facility>('facilities')[0]).toMatchObject({ id: 'H7', name: 'H7', kind: 'highway' });
    expect(previews['facilities.csv'].notes).toEqual([
      'kind "road" was read as highway (1 row).',
      'A facility without a name is called by its id (1 row).',
    ]);
  });
});

describe('dates keep the precision given', () => {
  test.each([
    ['2004-05-16', '2004-05-16', '2004-05-16'],
    ['2004-02', '2004-02-01', '2004-02-29'],
    ['2004', '2004-01-01', '2004-12-31'],
    ['2003/2006', '2003-01-01', '2006-12-31'],
    ['2003-11/2004-02', '2003-11-01', '2004-02-29'],
    ['2004/05/16', '2004-05-16', '2004-05-16'],
    ['2004-05-16T00:00:00Z', '2004-05-16', '2004-05-16'],
    ['20040516', '2004-05-16', '2004-05-16'],
  ])('%s', async (installed, installedFrom, installedTo) => {
    expect(await sealsOf(`S1,hot-applied,${installed},`)).toMatchObject([{ installedFrom, installedTo }]);
  });

  test('two columns give the range as well', async () => {
    const content = 'segmentId,sealantClass,installedFrom,installedTo\nS1,hot-applied,2004,2005-03\n';
    const { store } = await load({ ...AGENCY, 'seals.csv': content });
    expect(store.rows<Seal>('seals')).toMatchObject([{ installedFrom: '2004-01-01', installedTo: '2005-03-31' }]);
  });
});

describe('sealant classes by the words of the trade', () => {
  test.each([
    ['silicone SL', 'silicone-self-levelling'],
    ['Self-Leveling Silicone', 'silicone-self-levelling'],
    ['ASTM D5893 Type NS', 'silicone-non-sag'],
    ['hot pour', 'hot-applied'],
    ['rubberised asphalt', 'hot-applied'],
    ['ASTM D6690 Type II', 'hot-applied-type-2'],
    ['D6690 type 4', 'hot-applied-type-4'],
    ['Polysulphide', 'polysulfide'],
    ['two-component polyurethane', 'polyurethane-two-part'],
    ['neoprene compression seal', 'preformed-compression'],
    ['HOT_APPLIED_TYPE_1', 'hot-applied-type-1'],
  ])('%s', async (written, sealantClass) => {
    expect(await sealsOf(`S1,${written},2010,`)).toMatchObject([{ sealantClass }]);
  });
});

describe('units', () => {
  test('are read from the names of columns, and values are stored in SI', async () => {
    const segments =
      'Segment ID,Facility,Joint Type,Width (in),Joint_Depth_in,Sealed Length (ft),Slab length ft,Width Temperature F,Joints,WKT\n' +
      'S1,H1,contraction,0.5,1.375,212.6,15,70,18,"LINESTRING (-100 40, -99.999 40)"\n';
    const { store, previews } = await load({ ...AGENCY, 'segments.geojson': segments });
    expect(sentences(previews['segments.geojson'])).toEqual([]);
    // 1 in = 25.4 mm and 1 ft = 0.3048 m exactly (international yard and pound agreement, 1959); 70 °F = 21.1 °C.
    expect(store.rows<Segment>('segments')[0]).toMatchObject({
      widthMm: 12.7,
      reservoirDepthMm: 34.925,
      sealedLengthM: 64.80048,
      slabLengthM: 4.572,
      widthAtC: 21.111111,
      jointCount: 18,
      geometry: { type: 'LineString', coordinates: LINE },
    });
    expect(previews['segments.geojson'].columns[3]).toEqual({
      column: 'Width (in)',
      field: 'widthMm',
      unit: 'in',
      unitChoices: ['mm', 'in', 'cm'],
      unitGuessed: false,
      example: '0.5',
    });
  });

  test('a width without unit is taken as mm, and a note asks when inches fit better', async () => {
    const rows = Array.from({ length: 20 }, (_, i) => `S1,hot-applied,${1980 + i},0.5`);
    const content = ['segmentId,sealantClass,installed,width', ...rows].join('\n');
    const { 'seals.csv': asked } = await preview({ ...AGENCY, 'seals.csv': content });
    expect(asked.notes[0]).toBe(
      'Most values of width are out of range in millimetres and would fit inches. Is it in inches?',
    );
    expect(asked.columns[3]).toMatchObject({ unit: 'mm', unitGuessed: true });
    const said = { 'seals.csv': { units: { widthMm: 'in' as const } } };
    const { 'seals.csv': answered } = await preview({ ...AGENCY, 'seals.csv': content }, said);
    expect(answered.columns[3]).toMatchObject({ unit: 'in', unitGuessed: false });
    expect(answered.rowsAccepted).toBe(20);
  });

  test('damage in per cent is told from shares; one wrong share does not turn the column', async () => {
    const inspect = async (header: string, values: number[]) => {
      const rows = values.map((value, i) => `S1,${2011 + i}-05-01,joint-length,${value}`);
      const content = [`segmentId,inspectedOn,method,${header}`, ...rows].join('\n');
      const { store, previews } = await load({ ...AGENCY, 'inspections.csv': content });
      return {
        shares: store.rows<Inspection>('inspections').map((row) => row.damagedShare),
        ...previews['inspections.csv'],
      };
    };
    const percent = await inspect('damage', [0, 5, 12.5]);
    expect(percent.shares).toEqual([0, 0.05, 0.125]);
    expect(percent.notes).toEqual(['damage: values above 1, so they were read as per cent.']);
    expect((await inspect('damage %', [0, 1])).shares).toEqual([0, 0.01]);
    const tail = Array.from({ length: 10 }, () => 0.1);
    expect((await inspect('damagedShare', [...tail, 1.4])).rowsRefused).toBe(1);
  });

  test('costs a foot become costs a metre', async () => {
    const { store } = await load({ 'unit-costs.csv': 'Sealant Type,Cost per ft\nhot pour,3.048\n' });
    expect(store.rows<UnitCost>('unit-costs')).toMatchObject([
      { sealantClass: 'hot-applied', jointType: 'any', costPerM: 10 },
    ]);
  });
});

describe('files as spreadsheets of other countries write them', () => {
  test('semicolons and decimal commas', async () => {
    const content = 'segmentId;sealantClass;installed;widthMm\nS1;hot-applied;2010;12,5\nS1;hot-applied;2012;9\n';
    const { store, previews } = await load({ ...AGENCY, 'seals.csv': content });
    expect(store.rows<Seal>('seals').map((seal) => seal.widthMm)).toEqual([12.5, 9]);
    expect(previews['seals.csv'].notes).toEqual([
      'Columns are set off by a semicolon.',
      'Numbers are written with a decimal comma.',
    ]);
  });

  test('a byte order mark, Windows line ends, quotes with commas and line breaks, empty rows', async () => {
    const content =
      '\uFEFF"id","kind","name","district"\r\n"H1","highway","North, ""old""\r\nroad","North"\r\n\r\n,,,\r\n' +
      'H2,highway,South,South\r\nH3,canal,,\r\n';
    const { store, previews } = await load({ 'facilities.csv': content });
    expect(store.rows<Facility>('facilities').map(({ name, sourceRow }) => [name, sourceRow])).toEqual([
      ['North, "old"\r\nroad', 2],
      ['South', 5],
    ]);
    expect(previews['facilities.csv'].problems[0]).toMatchObject({ row: 6, field: 'kind' });
    expect(previews['facilities.csv'].notes[0]).toBe('The file begins with a byte order mark; it was left out.');
  });

  test('Windows-1252 and UTF-16 text', async () => {
    const text = 'id,kind,name,district\nH1,highway,Caf\u00e9 Road,North\n';
    const latin = await load({ 'facilities.csv': Buffer.from(text, 'latin1') });
    expect(latin.store.rows<Facility>('facilities')[0].name).toBe('Café Road');
    expect(latin.previews['facilities.csv'].notes).toEqual([
      'The text is not UTF-8; it was read as Windows-1252. Check names with accents.',
    ]);
    const wide = await load({ 'facilities.csv': Buffer.from(`\uFEFF${text.replaceAll(',', '\t')}`, 'utf16le') });
    expect(wide.store.rows<Facility>('facilities')[0].name).toBe('Café Road');
  });

  test('a character cut by the edge of a piece of the file stays whole', async () => {
    const names = Array.from({ length: 30_000 }, (_, i) => `H${i},highway,${'é'.repeat(i % 7)}ß€😀,North`);
    const { store, previews } = await load({ 'facilities.csv': `id,kind,name,district\n${names.join('\n')}` });
    expect(previews['facilities.csv'].notes).toEqual([]);
    const wrong = store.rows<Facility>('facilities').filter((each, i) => each.name !== `${'é'.repeat(i % 7)}ß€😀`);
    expect(wrong).toEqual([]);
  });
});

describe('geometry', () => {
  test('the user says that the whole file has latitude first', async () => {
    const swapped = collection(
      feature({}, [
        [40, -100],
        [40, -99.999],
      ]),
    );
    const { store } = await load(
      { ...AGENCY, 'segments.geojson': swapped },
      { 'segments.geojson': { swapLonLat: true } },
    );
    expect(store.rows<Segment>('segments')[0].geometry).toEqual({
      type: 'LineString',
      coordinates: [
        [-100, 40],
        [-99.999, 40],
      ],
    });
  });

  test('heights are kept, measures behind them left out with a note', async () => {
    const line = [
      [-100, 40, 200, 7],
      [-99.999, 40, 201, 8],
    ];
    const { store, previews } = await load({
      ...AGENCY,
      'segments.geojson': collection(feature({}, [line], 'MultiLineString')),
    });
    expect(store.rows<Segment>('segments')[0].geometry.coordinates).toEqual([
      [
        [-100, 40, 200],
        [-99.999, 40, 201],
      ],
    ]);
    expect(previews['segments.geojson'].notes).toEqual([
      'Positions have more than three numbers; those after the height were left out (1 row).',
    ]);
  });

  test('a longitudinal joint may take its sealed length from its line', async () => {
    const { store, previews } = await load({
      ...AGENCY,
      'segments.geojson': collection(feature({ jointType: 'longitudinal', sealedLengthM: '' })),
    });
    // One thousandth of a degree of longitude at 40 N on a sphere of 6,371.0088 km: 111.195 m x cos 40° = 85.2 m.
    expect(store.rows<Segment>('segments')[0].sealedLengthM).toBe(85.2);
    expect(previews['segments.geojson'].notes).toEqual([
      'Sealed length of a longitudinal joint was taken from its line (1 row).',
    ]);
  });

  test('well-known text in its other forms', async () => {
    const row = (wkt: string, i: number) => `S${i},H1,contraction,60,"${wkt}"`;
    const forms = [
      'SRID=4326;LINESTRING(-100 40,-99.999 40)',
      'LineString Z (-100 40 5, -99.999 40 6)',
      'MULTILINESTRING ((-100 40, -99.999 40), (-99.999 40.001, -99.998 40.001))',
      '{""type"": ""LineString"", ""coordinates"": [[-100, 40], [-99.999, 40]]}',
    ];
    const content = ['id,facilityId,jointType,sealedLengthM,wkt', ...forms.map(row)].join('\n');
    const { previews } = await load({ ...AGENCY, 'segments.geojson': content });
    expect(sentences(previews['segments.geojson'])).toEqual([]);
    const bad = [
      'SRID=26914;LINESTRING(500000 4400000, 500100 4400000)',
      'LINESTRING (-100 40, -99',
      'POINT (-100 40)',
      'LINESTRING EMPTY',
    ];
    const { 'segments.geojson': refused } = await preview({
      ...AGENCY,
      'segments.geojson': ['id,facilityId,jointType,sealedLengthM,wkt', ...bad.map(row)].join('\n'),
    });
    expect(refused.problems.map((problem) => problem.hint ?? problem.found)).toEqual([
      'SRID 26914 is another reference system: write longitude and latitude (WGS 84).',
      'Brackets or numbers do not match up.',
      'A joint segment is a line.',
      'without positions',
    ]);
  });
});
