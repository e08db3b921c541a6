import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { climateNormals, isFreezeThawDay, type WeatherDay } from '../../../../analytics/climate/climate-normals.ts';
import { climateZone } from '../../../../analytics/climate/climate-zone.ts';
import {
  designFreezingIndexCDays,
  fDaysOfCDays,
  freezingIndexCDays,
  negativeDegreeDaysC,
} from '../../../../analytics/climate/freezing-index.ts';
import { nearestStation } from '../../../../analytics/climate/nearest-station.ts';

// CRREL Report 96-14, Table 20: freezing index of 21 winters used for a Minnesota test road, °C-days and °F-days.
const MINNESOTA_WINTERS: readonly (readonly [number, number])[] = [
  [1191, 2144],
  [1152, 2074],
  [1274, 2294],
  [839, 1510],
  [923, 1661],
  [968, 1743],
  [931, 1675],
  [1256, 2261],
  [1331, 2395],
  [1477, 2658],
  [903, 1625],
  [666, 1199],
  [1227, 2209],
  [589, 1061],
  [1179, 2123],
  [942, 1696],
  [1197, 2154],
  [467, 841],
  [898, 1616],
  [1032, 1858],
  [750, 1350],
];

describe('freezing index', () => {
  test('it is the fall from peak to trough of the running sum: a thaw in between is taken off, later warmth is not', () => {
    // By hand: sums 5, 2, -4, -1, -8, 2; peak 5, trough -8.
    expect(freezingIndexCDays([5, -3, -6, 3, -7, 10])).toBe(13);
    expect(negativeDegreeDaysC([5, -3, -6, 3, -7, 10])).toBe(16);
  });

  test('a season without frost has none', () => {
    expect(freezingIndexCDays([4, 2, 0, 1])).toBe(0);
  });

  test('°C-days and °F-days of the Minnesota winters agree within 1 as printed', () => {
    for (const [cDays, fDays] of MINNESOTA_WINTERS)
      expect(Math.abs(fDaysOfCDays(cDays) - fDays)).toBeLessThanOrEqual(1);
  });

  test('the design index is the mean of the three coldest of 30 winters', () => {
    // Three coldest of the table: 1477, 1331, 1274, mean 1360.67 (nine mild winters added to make the record long).
    const record = [...MINNESOTA_WINTERS.map(([cDays]) => cDays), ...new Array(9).fill(400)];
    expect(designFreezingIndexCDays(record)).toBeCloseTo(1360.667, 3);
  });

  test('of a shorter record it is the coldest of the last ten winters', () => {
    // The last ten of the table are the winters from 1980-81: 666, 1227, 589, 1179, 942, 1197, 467, 898, 1032, 750.
    expect(designFreezingIndexCDays(MINNESOTA_WINTERS.map(([cDays]) => cDays))).toBe(1227);
    expect(designFreezingIndexCDays([1500, ...new Array(10).fill(300)])).toBe(300);
  });
});

describe('LTPP climate zones (limits 83.3 °C-days and 508 mm, from memory)', () => {
  test.each([
    [83.3, 508, 'dry-nonfreeze'],
    [83.4, 508, 'dry-freeze'],
    [83.3, 508.1, 'wet-nonfreeze'],
    [83.4, 508.1, 'wet-freeze'],
  ] as const)('freezing index %s and %s mm is %s', (freezingIndex, mm, zone) => {
    expect(climateZone(freezingIndex, mm)).toBe(zone);
  });

  test('the freeze limit is 150 °F-days', () => {
    expect(fDaysOfCDays(83.3)).toBeCloseTo(150, 0);
  });
});

test('a day that only touches 0 °C is no freeze-thaw day', () => {
  expect([isFreezeThawDay(5, -1), isFreezeThawDay(0, -1), isFreezeThawDay(5, 0), isFreezeThawDay(-1, -5)]).toEqual([
    true,
    false,
    false,
    false,
  ]);
});

describe('real daily records of Seattle and New York, 2012 to 2015 (vega-datasets, from NOAA)', () => {
  const lines = readFileSync(path.resolve('node_modules/vega-datasets/data/weather.csv'), 'utf8')
    .trim()
    .split('\n')
    .slice(1);
  const record = (place: string): WeatherDay[] =>
    lines
      .map((line) => line.split(','))
      .filter(([location]) => location === place)
      .map(([, day, rain, max, min]) => ({ day, precipitationMm: Number(rain), maxC: Number(max), minC: Number(min) }));

  // An independent count over the text of the file, written without any of the code under test.
  const count = (place: string) => {
    let [freezeThaw, rain, days] = [0, 0, 0];
    for (const line of lines) {
      const cells = line.split(',');
      if (cells[0] !== place) continue;
      days += 1;
      rain += +cells[2];
      if (+cells[4] < 0 && +cells[3] > 0) freezeThaw += 1;
    }
    return { freezeThawPerYear: (freezeThaw / days) * 365.25, rainPerYear: (rain / days) * 365.25, days };
  };

  test.each(['Seattle', 'New York'])('%s: freeze-thaw days and precipitation agree with a plain count', (place) => {
    const normals = climateNormals(record(place));
    const plain = count(place);
    expect(plain.days).toBe(1461);
    expect(normals?.years).toBe(4);
    expect(normals?.freezeThawDaysPerYear).toBeCloseTo(plain.freezeThawPerYear, 9);
    expect(normals?.precipitationMmPerYear).toBeCloseTo(plain.rainPerYear, 9);
  });

  test.each(['Seattle', 'New York'])('%s: the freezing index agrees with a search over all pairs of days', (place) => {
    const byHand = [2012, 2013, 2014].map((year) => {
      const sums = [0];
      for (const [, day, , max, min] of lines
        .map((line) => line.split(','))
        .filter(([location]) => location === place)) {
        if (day >= `${year}-07-01` && day < `${year + 1}-07-01`) sums.push(sums[sums.length - 1] + (+max + +min) / 2);
      }
      let largest = 0;
      for (let i = 0; i < sums.length; i++)
        for (let j = i; j < sums.length; j++) largest = Math.max(largest, sums[i] - sums[j]);
      return largest;
    });
    expect(climateNormals(record(place))?.freezingIndexCDays).toBeCloseTo(byHand.reduce((a, b) => a + b) / 3, 6);
  });

  test('New York freezes and Seattle does not; both are wet', () => {
    expect(climateNormals(record('New York'))?.zone).toBe('wet-freeze');
    expect(climateNormals(record('Seattle'))?.zone).toBe('wet-nonfreeze');
  });

  test('a year with too many missing days is left out and counted; a record without a whole year gives nothing', () => {
    const patchy = record('Seattle').map((day) => (day.day < '2012-03-01' ? { ...day, maxC: null } : day));
    expect(climateNormals(patchy)).toMatchObject({ years: 3, yearsLeftOut: 1 });
    expect(climateNormals(record('Seattle').slice(0, 200))).toBeNull();
  });
});

describe('nearest station', () => {
  const stations = [
    { id: 'A', lon: -95, lat: 44 },
    { id: 'B', lon: -94, lat: 44 },
  ];

  test('it is the one nearest by great circle, with its distance', () => {
    const found = nearestStation({ lon: -94.1, lat: 44 }, stations, 150);
    // One degree of longitude at 44 degrees north: 111.195 km x cos 44 = 79.99 km, on a sphere of 6,371.0088 km.
    expect(found?.station.id).toBe('B');
    expect(found?.km).toBeCloseTo(8, 1);
  });

  test('beyond the limit there is none', () => {
    expect(nearestStation({ lon: -80, lat: 44 }, stations, 150)).toBeNull();
  });
});
