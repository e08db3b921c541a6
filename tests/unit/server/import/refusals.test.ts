import { describe, expect, test } from 'vitest';
import { AGENCY, type Contents, collection, feature, preview, segmentProperties, sentences } from './agency-files.ts';

/** What the preview says when one file of a sound agency is replaced. */
async function refusalsOf(name: string, content: string | Uint8Array): Promise<string[]> {
  const previews = await preview({ ...AGENCY, [name]: content } as Contents);
  return sentences(previews[name]);
}
const segments = (...features: unknown[]) => refusalsOf('segments.geojson', collection(...features));
const seals = (...rows: string[]) =>
  refusalsOf('seals.csv', ['segmentId,sealantClass,installed,widthMm,removedOn,removalReason', ...rows].join('\n'));
const inspections = (...rows: string[]) =>
  refusalsOf('inspections.csv', ['segmentId,inspectedOn,method,damagedShare,inspector', ...rows].join('\n'));

const LIST_OF_CLASSES =
  'one of silicone-self-levelling, silicone-non-sag, hot-applied, hot-applied-type-1, hot-applied-type-2, ' +
  'hot-applied-type-3, hot-applied-type-4, polysulfide, polyurethane-two-part, preformed-compression, unknown';
const DEGREES = 'expected longitude -180 to 180 and latitude -60 to 90, in that order.';
const SWAPPED = 'Are longitude and latitude swapped? You can say so for the whole file.';
const LINE_TYPES = 'expected a LineString or MultiLineString.';

test('a sound agency has no refusals', async () => {
  const previews = await preview(AGENCY);
  expect(Object.values(previews).flatMap(sentences)).toEqual([]);
  expect(Object.values(previews).map((each) => each.rowsAccepted)).toEqual([2, 1, 2, 2, 1, 2, 2]);
});

describe('geometry', () => {
  test.each([
    [
      'swapped',
      [
        [40, -100],
        [40, -99],
      ],
      `at 40, -100; ${DEGREES} ${SWAPPED}`,
    ],
    [
      'swapped, in the range of latitude',
      [
        [40, -80],
        [40, -79],
      ],
      `at 40, -80; ${DEGREES} ${SWAPPED}`,
    ],
    [
      'projected',
      [
        [500120, 4872340],
        [500220, 4872375],
      ],
      `at 500120, 4872340; ${DEGREES} These look like projected coordinates (metres or feet). ` +
        'Export the layer again as longitude and latitude (WGS 84, EPSG:4326).',
    ],
    ['empty', [], 'without positions; expected at least two positions.'],
    ['one vertex', [[-100, 40]], 'a single position; expected at least two positions.'],
    [
      'zero length',
      [
        [-100, 40],
        [-100, 40],
      ],
      'of zero length; expected a line with a length. Its positions are all the same point.',
    ],
    [
      'text for a number',
      [
        [-100, '40'],
        [-100, 41],
      ],
      'not valid: at 0: Position must only contain numbers. Item 40 at index 1 is invalid.; ' +
        'expected a LineString or MultiLineString (RFC 7946).',
    ],
    [
      'no list',
      'here',
      'not valid: coordinates must be an array; expected a LineString or MultiLineString (RFC 7946).',
    ],
  ])('%s', async (_, coordinates, sentence) => {
    expect(await segments(feature({}, coordinates))).toEqual([`segments.geojson row 1, geometry is ${sentence}`]);
  });

  test('an infinite coordinate', async () => {
    const text = collection(
      feature({}, [
        [-100, 40],
        [-99, 12345],
      ]),
    ).replace('12345', '1e999');
    expect(await refusalsOf('segments.geojson', text)).toEqual([
      'segments.geojson row 1, geometry is at -99, Infinity; expected finite numbers.',
    ]);
  });

  test('null, and another type', async () => {
    expect(
      await segments(
        { ...feature(), geometry: null },
        { ...feature(), geometry: { type: 'Point', coordinates: [-100, 40] } },
      ),
    ).toEqual([
      `segments.geojson row 1, geometry is empty; ${LINE_TYPES} A segment needs a line to be on the map; add it and load the row again.`,
      `segments.geojson row 2, geometry is of type Point; ${LINE_TYPES}`,
    ]);
  });

  test('one swapped row among right ones is seen by where the others lie', async () => {
    const right = Array.from({ length: 30 }, (_, i) =>
      feature({ id: `A${i}` }, [
        [10 + i / 100, 50],
        [10.001 + i / 100, 50],
      ]),
    );
    expect(
      await segments(
        ...right,
        feature({ id: 'B' }, [
          [50, 10.1],
          [50, 10.2],
        ]),
      ),
    ).toEqual([
      `segments.geojson row 31, geometry is at 50, 10.1; expected a position near the rest of the network. ${SWAPPED}`,
    ]);
  });
});

describe('features', () => {
  test.each([
    [{ type: 'Feature', properties: {} }, 'feature is not one: must have a member with the name "geometry"'],
    [{ ...feature(), type: 'Road' }, 'feature is of type Road'],
    [3, 'feature is 3'],
    [{ ...feature(), bbox: 'all' }, 'feature is not one: bbox must be an array'],
  ])('%j', async (value, found) => {
    expect(await segments(value)).toEqual([`segments.geojson row 1, ${found}; expected a GeoJSON Feature (RFC 7946).`]);
  });

  test('properties that are a list', async () => {
    expect(await segments({ ...feature(), properties: [1] })).toEqual([
      'segments.geojson row 1, properties is a list; expected an object or null.',
    ]);
  });

  test('a value that is a list', async () => {
    expect(await segments(feature({ id: ['S1'] }))).toEqual([
      'segments.geojson row 1, id is a list; expected text or a number.',
    ]);
  });
});

describe('segments', () => {
  test('a width of half an inch in a column of millimetres', async () => {
    expect(await segments(feature({ widthMm: 0.5 }))).toEqual([
      'segments.geojson row 1, widthMm is 0.5; expected 3 to 100 mm. Is the column in inches?',
    ]);
  });

  test('an id met twice', async () => {
    expect(await segments(feature(), feature())).toEqual([
      'segments.geojson row 2, id is S1; expected a key that comes once in a load. ' +
        'It was first met in segments.geojson row 1.',
    ]);
  });

  test('a facility that nobody has, and one whose zeros were lost', async () => {
    const facilities = 'id,kind,name,district\n007,highway,Old Road,North\n';
    const previews = await preview({
      'facilities.csv': facilities,
      'segments.geojson': collection(feature({ facilityId: 'H9' }), feature({ facilityId: 7 })),
    });
    expect(sentences(previews['segments.geojson'])).toEqual([
      'segments.geojson row 1, facilityId is H9; expected the id of a facility. ' +
        'Load its facilities file first, or together with this one; there the row may have been refused.',
      'segments.geojson row 2, facilityId is 7; expected the id of a facility. ' +
        'There is 007: did a spreadsheet drop leading zeros?',
    ]);
  });

  test('a transverse segment without its sealed length', async () => {
    expect(await segments(feature({ sealedLengthM: null }))).toEqual([
      'segments.geojson row 1, sealedLengthM is empty; expected the length of sealed joint, all joints together, in m. ' +
        'Number of joints times the length of one. Only for longitudinal joints can it be taken from the line.',
    ]);
  });

  test.each([
    [
      { direction: 'uphill' },
      'direction is uphill; expected one of northbound, southbound, eastbound, westbound, increasing, decreasing, clockwise, anticlockwise, both.',
    ],
    [{ firstLane: 0 }, 'firstLane is 0; expected a whole number, 1 to 15.'],
    [{ firstLane: 3, lastLane: 2 }, 'lastLane is 2; expected 3 (firstLane) or more. Are the two the wrong way round?'],
    [{ lastLane: 2 }, 'firstLane is empty; expected the first of the lanes. lastLane is given, so firstLane must be'],
    [{ jointCount: 2.5 }, 'jointCount is 2.5; expected a whole number, 1 to 100000.'],
    [{ jointCount: -3 }, 'jointCount is -3; expected a whole number, 1 to 100000.'],
    [{ sealedLengthM: 0 }, 'sealedLengthM is 0; expected above 0, at most 200000 m.'],
    [
      { sealedLengthM: 'NaN' },
      'sealedLengthM is NaN; expected above 0, at most 200000 m. Leave the cell empty when there is no value.',
    ],
    [{ beginM: '1,234.5' }, 'beginM is 1,234.5; expected 0 to 10000000 m. Write it without a thousands separator.'],
    [
      { slabLengthM: '4.5 m' },
      'slabLengthM is 4.5 m; expected 0.5 to 100 m. Put the unit in the name of the column, not in the cell.',
    ],
    [{ id: '' }, 'id is empty; expected a key of 1 to 64 characters.'],
    [{ id: 'x'.repeat(65) }, 'id is 65 characters long; expected at most 64 characters.'],
    [{ id: 'a\u0000b' }, 'id is a\uFFFDb; expected text without control characters.'],
    [{ fuelExposure: 'maybe' }, 'fuelExposure is maybe; expected yes or no.'],
    [
      { jointType: 'diagonal' },
      'jointType is diagonal; expected one of transverse-contraction, transverse-construction, transverse-expansion, ' +
        'longitudinal, isolation, asphalt-shoulder, bridge-deck.',
    ],
  ])('%j', async (properties, sentence) => {
    expect(await segments(feature(properties))).toEqual([`segments.geojson row 1, ${sentence}`]);
  });

  test('a big number as id, which JSON cannot hold', async () => {
    const text = collection(feature({ id: 12345 })).replace('12345', '12345678901234567890');
    expect(await refusalsOf('segments.geojson', text)).toEqual([
      'segments.geojson row 1, id is 12345678901234567000; expected a text or a number of at most 15 digits. ' +
        'Put the number in quotes.',
    ]);
  });

  test('every problem of a row is told at once', async () => {
    const properties = { ...segmentProperties, widthMm: 0.5, jointType: 'diagonal' };
    expect(await segments({ type: 'Feature', properties, geometry: null })).toHaveLength(3);
  });
});

describe('seals', () => {
  test.each([
    ['S1,mystery mastic,2010,,,', `sealantClass is mystery mastic; expected ${LIST_OF_CLASSES}.`],
    [
      'S1,silicone,2010,,,',
      `sealantClass is silicone; expected ${LIST_OF_CLASSES}. Say whether the silicone is self-levelling or non-sag.`,
    ],
    ['S1,,2010,,,', 'sealantClass is empty; expected a sealant class. If the class was not recorded, write unknown.'],
    [
      'S1,hot-applied,,,,',
      'installed is empty; expected the date of installation. A year (2004) or a range (2003/2006) is enough.',
    ],
    ['S1,hot-applied,2027,,,', 'installed is 2027-01-01; expected a day that is not in the future.'],
    [
      'S1,hot-applied,2010-06-14,,2009-05-04,failed',
      'removedOn is 2009-05-04; expected a day on or after installation. It was installed 2010-06-14.',
    ],
    [
      'S1,hot-applied,2010,,9999-12-31,',
      'removedOn is 9999-12-31; expected a day as YYYY-MM-DD. Years from 1850 to 2200 are read.',
    ],
    [
      'S1,hot-applied,2010,,2030-12-31,',
      'removedOn is 2030-12-31; expected a day that is not in the future. Leave it empty while the seal is in place.',
    ],
    [
      'S1,hot-applied,2010,,,failed',
      'removedOn is empty; expected the day of removal when a reason is given. Leave the reason empty while it is in place.',
    ],
    [
      'S1,hot-applied,1900-01-01,,,',
      'installed is 1900-01-01; expected an installation at most 60 years before the removal, or before today. Has it been resealed since?',
    ],
    ['S1,hot-applied,2010,0.5,,', 'widthMm is 0.5; expected 3 to 100 mm. Is the column in inches?'],
    [
      'S9,hot-applied,2010,,,',
      'segmentId is S9; expected the id of a segment. Load its segments file first, or together with this one; there the row may have been refused.',
    ],
    [
      's1,hot-applied,2010,,,',
      'segmentId is s1; expected the id of a segment. There is S1: write the key as it is there.',
    ],
    ['S1,hot-applied,2010', 'row is 3 cells; expected 6 cells, as in the header. Is a line broken in two?'],
    [
      'S1,hot-applied,2010,,,,tar, pitch',
      'row is 8 cells; expected 6 cells, as in the header. Put quotes round a text that holds the delimiter. Left over: tar  pitch',
    ],
  ])('%s', async (row, sentence) => {
    expect(await seals(row)).toEqual([`seals.csv row 2, ${sentence}`]);
  });

  const PERIOD = 'expected a day, month or year (YYYY-MM-DD, YYYY-MM, YYYY) or a range of two (2003/2006).';
  test.each([
    ['2011-02-30', '2011-02 has 28 days.'],
    ['2011-13', 'There is no month 13.'],
    ['2006/2003', 'The range ends before it begins.'],
    ['06/07/2011', 'Day and month could be either way round. Write the year first: YYYY-MM-DD.'],
    // Day 38123 of the 1900 date system, by hand: 38,123 days after 1899-12-30.
    ['38123', "It looks like a spreadsheet's day number (2004-05-16). Format the column as YYYY-MM-DD and save again."],
    ['06/2011', 'Write a month as YYYY-MM.'],
  ])('installed %s', async (installed, hint) => {
    expect(await seals(`S1,hot-applied,${installed},,,`)).toEqual([
      `seals.csv row 2, installed is ${installed}; ${PERIOD} ${hint}`,
    ]);
  });

  test('two seals of a segment with the same first day', async () => {
    expect(await seals('S1,hot-applied,2010,,,', 'S1,polysulfide,2010-01,,,')).toEqual([
      'seals.csv row 3, installed is S1@2010-01-01; expected a key that comes once in a load. ' +
        'It was first met in seals.csv row 2.',
    ]);
  });
});

describe('inspections', () => {
  test.each([
    [
      'S1,1979-05-17,joint-length,0,',
      'inspectedOn is 1979-05-17; expected a day on or after the first installation. Its first seal was installed 2001-01-01.',
    ],
    ['S1,2019-02-30,joint-length,0,', 'inspectedOn is 2019-02-30; expected a day as YYYY-MM-DD. 2019-02 has 28 days.'],
    ['S1,2026-07-02,joint-length,0,', 'inspectedOn is 2026-07-02; expected a day that is not in the future.'],
    ['S1,2015-06-01,joint-length,1.4,', 'damagedShare is 1.4; expected 0 to 1. Is the column in per cent?'],
    ['S1,2015-06-01,joint-length,-0.05,', 'damagedShare is -0.05; expected 0 to 1.'],
    ['S1,2015-06-01,joint-length,,', 'damagedShare is empty; expected the share of length damaged, 0 if none.'],
    ['S1,2015-06-01,by ear,0,', 'method is by ear; expected one of joint-length, sample-unit, agency.'],
    [
      `S1,2015-06-01,joint-length,0,${'x'.repeat(101)}`,
      'inspector is 101 characters long; expected at most 100 characters.',
    ],
  ])('%s', async (row, sentence) => {
    expect(await inspections(row)).toEqual([`inspections.csv row 2, ${sentence}`]);
  });

  test('a seal over 60 years old', async () => {
    const previews = await preview({
      ...AGENCY,
      'seals.csv': 'segmentId,sealantClass,installed,removedOn\nS1,hot-applied,1940,1950-01-01\n',
      'inspections.csv': 'segmentId,inspectedOn,method,damagedShare\nS1,2015-06-01,joint-length,0\n',
    });
    expect(sentences(previews['inspections.csv'])).toEqual([
      'inspections.csv row 2, inspectedOn is 2015-06-01; expected a seal of at most 60 years. ' +
        'The seal was installed 1940-12-31. Is a reseal missing?',
    ]);
  });
});

describe('climate, stations, facilities and unit costs', () => {
  test.each([
    ['climate.csv', 'W1,2021-02-29,3,-4,0', 'day is 2021-02-29; expected a day as YYYY-MM-DD. 2021-02 has 28 days.'],
    [
      'climate.csv',
      'W1,2021-02-01,3,9,0',
      'maxC is 3; expected at least the minimum of the day. The minimum is 9 °C. Are the columns swapped?',
    ],
    [
      'climate.csv',
      'W9,2021-02-01,3,-4,0',
      'stationId is W9; expected a station with a position, here or in a stations file. ' +
        'Load its stations file first, or together with this one; there the row may have been refused.',
    ],
    ['climate.csv', 'W1,2021-02-01,3,-4,-2', 'precipitationMm is -2; expected 0 to 2000 mm.'],
    ['stations.csv', 'W2,Upside Down (invented),-100,40,300', 'lat is -100; expected -90 to 90.'],
    ['stations.csv', 'W2,Nowhere (invented),,40,300', 'lat is empty; expected degrees.'],
    [
      'facilities.csv',
      'C1,canal,Canal,,North,',
      'kind is canal; expected one of highway, bridge, runway, taxiway, apron.',
    ],
    ['facilities.csv', 'C1,highway,Canal,,,', 'district is empty; expected the name of a district.'],
    ['unit-costs.csv', 'polysulfide,isolation,-4', 'costPerM is -4; expected above 0, at most 10000 per m.'],
    [
      'unit-costs.csv',
      'hot pour,,4',
      'sealantClass is hot-applied for any; expected a key that comes once in a load. It was first met in unit-costs.csv row 2.',
    ],
  ])('%s: %s', async (name, row, sentence) => {
    const content = `${AGENCY[name]}${row}\n`;
    const rowNumber = content.trimEnd().split('\n').length;
    expect(await refusalsOf(name, content)).toEqual([`${name} row ${rowNumber}, ${sentence}`]);
  });

  test('the same day of a station twice', async () => {
    expect(await refusalsOf('climate.csv', `${AGENCY['climate.csv']}W1,2020-01-02,5,-1,2.5\n`)).toEqual([
      'climate.csv row 4, day is 2020-01-02; expected a day that comes once for its station in a load.',
    ]);
  });
});
