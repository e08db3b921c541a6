import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { ClimateDay } from '../../../../server/schemas/climate.ts';
import type { Unit } from '../../../../server/schemas/load.ts';
import { load, preview, sentences } from './agency-files.ts';

/** Daily weather of Seattle and New York, 2012 to 2015 (NOAA, by way of vega-datasets): mm and degrees Celsius. */
const weather = readFileSync(
  new URL('../../../../node_modules/vega-datasets/data/weather.csv', import.meta.url),
  'utf8',
)
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => line.split(','))
  .map(([location, date, precipitation, max, min]) => ({
    location: location.replaceAll(' ', '-'),
    day: date.replaceAll('/', '-').slice(0, 10),
    reading: [Number(max), Number(min), Number(precipitation)] as const,
  }));

const fahrenheit = (c: number) => Math.round(c * 1.8 + 32);
const inches = (mm: number) => (mm / 25.4).toFixed(2);
const SYSTEMS: Record<string, { write: (r: readonly [number, number, number]) => (string | number)[]; units: Unit[] }> =
  {
    metric: { write: ([max, min, rain]) => [max, min, rain], units: ['C', 'C', 'mm'] },
    'US customary': {
      write: ([max, min, rain]) => [fahrenheit(max), fahrenheit(min), inches(rain)],
      units: ['F', 'F', 'in'],
    },
    tenths: {
      write: (reading) => reading.map((value) => Math.round(value * 10)),
      units: ['tenths-C', 'tenths-C', 'tenths-mm'],
    },
  };

describe.each(['Seattle', 'New-York'])('%s', (location) => {
  const days = weather.filter((day) => day.location === location);
  test.each(Object.entries(SYSTEMS))('in %s units is recognised and stored in SI', async (_, { write, units }) => {
    const rows = days.map(({ day, reading }) => [location, 47.6, -122.3, day, ...write(reading)].join(','));
    const content = ['STATION,LATITUDE,LONGITUDE,DATE,TMAX,TMIN,PRCP', ...rows].join('\n');
    const { store, previews } = await load({ 'daily.csv': content });
    expect(previews['daily.csv'].columns.slice(4).map((column) => column.unit)).toEqual(units);
    expect(previews['daily.csv'].columns.slice(4).map((column) => column.unitGuessed)).toEqual([true, true, true]);
    expect(sentences(previews['daily.csv'])).toEqual([]);
    const stored = store.rows<ClimateDay>('climate');
    expect(stored).toHaveLength(1461); // days of four years, one of them a leap year
    stored.forEach((day, i) => {
      const [max, min, rain] = days[i].reading;
      expect(Math.abs((day.maxC as number) - max)).toBeLessThan(0.28); // half a degree Fahrenheit
      expect(Math.abs((day.minC as number) - min)).toBeLessThan(0.28);
      expect(Math.abs((day.precipitationMm as number) - rain)).toBeLessThan(0.128); // half a hundredth of an inch
    });
  });
});

test('the user may say the unit, and names may', async () => {
  const rows = Array.from({ length: 25 }, (_, i) => `W1,40,-100,2020-01-${String(i + 1).padStart(2, '0')},20,10,1`);
  const said = { 'a.csv': { units: { maxC: 'F' as const, minC: 'F' as const, precipitationMm: 'in' as const } } };
  const header = 'STATION,LATITUDE,LONGITUDE,DATE,TMAX,TMIN,PRCP';
  const { 'a.csv': read } = await preview({ 'a.csv': [header, ...rows].join('\n') }, said);
  expect(read.columns.slice(4).map(({ unit, unitGuessed }) => [unit, unitGuessed])).toEqual([
    ['F', false],
    ['F', false],
    ['in', false],
  ]);
  const named = 'STATION,LATITUDE,LONGITUDE,DATE,TMAX_F,TMIN (°F),PRCP_in';
  const { 'b.csv': byName } = await preview({ 'b.csv': [named, ...rows].join('\n') });
  expect(byName.columns.slice(4).map(({ unit, unitGuessed }) => [unit, unitGuessed])).toEqual([
    ['F', false],
    ['F', false],
    ['in', false],
  ]);
});

test('missing and trace readings', async () => {
  const content =
    'STATION,LATITUDE,LONGITUDE,DATE,TMAX,TMIN,PRCP\nW1,40,-100,2020-01-01,-9999,M,T\nW1,40,-100,2020-01-02,,,\n';
  const { store, previews } = await load({ 'daily.csv': content });
  expect(store.rows<ClimateDay>('climate')).toEqual([
    { stationId: 'W1', day: '2020-01-01', maxC: null, minC: null, precipitationMm: 0 },
    { stationId: 'W1', day: '2020-01-02', maxC: null, minC: null, precipitationMm: null },
  ]);
  expect(previews['daily.csv'].notes.slice(-3)).toEqual([
    'maxC -9999 was read as no reading (1 row).',
    'minC M was read as no reading (1 row).',
    'Precipitation T (a trace) was read as 0 (1 row).',
  ]);
});
