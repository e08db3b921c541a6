import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import {
  climateNormals,
  MOST_MISSING_DAYS,
  winterClimate,
  yearlyClimate,
} from '../../../../analytics/climate/climate-normals.ts';
import { type ClimateDay, climateSeries } from '../../../../analytics/climate/climate-series.ts';

interface CsvDay {
  date: string;
  precipitation: number;
  temp_max: number;
  temp_min: number;
}
/** Real daily records of 2012 to 2015 (open data of the US weather service, in the registry package vega-datasets). */
function readCsv(file: string, keep: (line: string) => boolean): CsvDay[] {
  const path = new URL(`../../../../node_modules/vega-datasets/data/${file}`, import.meta.url);
  const [head, ...lines] = readFileSync(path, 'utf8').trim().split('\n');
  const columns = head.split(',');
  return lines.filter(keep).map((line) => {
    const fields = line.split(',');
    const number = (name: string) => Number(fields[columns.indexOf(name)]);
    return {
      date: fields[columns.indexOf('date')],
      precipitation: number('precipitation'),
      temp_max: number('temp_max'),
      temp_min: number('temp_min'),
    };
  });
}
const seattle = readCsv('seattle-weather.csv', () => true);
const newYork = readCsv('weather.csv', (line) => line.startsWith('New York'));
const toDay = (row: CsvDay): ClimateDay => ({
  day: row.date,
  maxC: row.temp_max,
  minC: row.temp_min,
  precipitationMm: row.precipitation,
});

describe.each([
  ['Seattle', seattle],
  ['New York', newYork],
])('the daily record of %s, against an independent count of its lines', (_, rows) => {
  const series = climateSeries(rows.map(toDay));

  test('freeze-thaw days and precipitation of each year', () => {
    for (const { year, freezeThawDays, precipitationMm } of yearlyClimate(series)) {
      const lines = rows.filter((row) => row.date.startsWith(`${year}-`));
      expect(freezeThawDays).toBe(lines.filter((row) => row.temp_min < 0 && 0 < row.temp_max).length);
      expect(precipitationMm).toBeCloseTo(
        lines.reduce((sum, row) => sum + row.precipitation, 0),
        6,
      );
    }
  });

  test('temperature range of each year, by month', () => {
    for (const { year, temperatureRangeC } of yearlyClimate(series)) {
      const ofMonth = (field: 'temp_max' | 'temp_min') =>
        ['01', '02', '03', '04', '05', '06', '07', '08', '09', '10', '11', '12'].map((month) => {
          const values = rows.filter((row) => row.date.startsWith(`${year}-${month}`)).map((row) => row[field]);
          return values.reduce((sum, value) => sum + value, 0) / values.length;
        });
      expect(temperatureRangeC).toBeCloseTo(Math.max(...ofMonth('temp_max')) - Math.min(...ofMonth('temp_min')), 9);
    }
  });

  test('freezing index of each whole winter: the deepest fall of the running sum, by trying every pair of days', () => {
    const winters = winterClimate(series);
    expect(winters.map((winter) => winter.freezingIndexCDays === null)).toEqual([true, false, false, false, true]);
    for (const { startYear, freezingIndexCDays, sumOfFreezingCDays } of winters.slice(1, 4)) {
      const means = rows
        .filter((row) => row.date >= `${startYear}-07-01` && row.date < `${startYear + 1}-07-01`)
        .map((row) => (row.temp_max + row.temp_min) / 2);
      let deepest = 0;
      for (let from = 0; from < means.length; from++) {
        let fall = 0;
        for (let to = from; to < means.length; to++) {
          fall -= means[to];
          deepest = Math.max(deepest, fall);
        }
      }
      expect(freezingIndexCDays).toBeCloseTo(deepest, 6);
      expect(sumOfFreezingCDays).toBeCloseTo(-means.filter((mean) => mean < 0).reduce((sum, mean) => sum + mean, 0), 6);
      expect(sumOfFreezingCDays).toBeGreaterThanOrEqual((freezingIndexCDays ?? 0) - 1e-9);
    }
  });
});

describe('incomplete years', () => {
  const rows = newYork.filter((row) => row.date.startsWith('2013'));
  const without = (count: number) =>
    climateSeries(rows.map((row, i) => (i > 100 && i <= 100 + count ? { ...toDay(row), minC: null } : toDay(row))));

  test('15 missing days are made up for in proportion, 16 leave the year out', () => {
    expect(MOST_MISSING_DAYS).toBe(15);
    const whole = yearlyClimate(without(0))[0];
    const [few] = yearlyClimate(without(15));
    // The missing days are in April, when none freezes: the count of the others is raised by 365 / 350.
    expect(few.freezeThawDays).toBeCloseTo(((whole.freezeThawDays ?? 0) * 365) / 350, 9);
    const [many] = yearlyClimate(without(16));
    expect(many.freezeThawDays).toBeNull();
    expect(many.precipitationMm).toBe(whole.precipitationMm);
  });

  test('left-out years are counted, and a record of a few days has no normals', () => {
    const normals = climateNormals(climateSeries(newYork.map(toDay)));
    expect(normals.use.freezingIndex).toEqual({ used: 3, leftOut: 2 });
    expect(normals.use.precipitation).toEqual({ used: 4, leftOut: 0 });
    const short = climateNormals(climateSeries(rows.slice(0, 40).map(toDay)));
    expect(short).toMatchObject({ freezingIndexCDays: null, temperatureRangeC: null, precipitationMmPerYear: null });
    expect(climateNormals(climateSeries([])).use.freezeThaw).toEqual({ used: 0, leftOut: 0 });
  });

  test('a gap of missing days in a winter is bridged along a straight line', () => {
    const day = (i: number) => new Date(Date.UTC(2001, 6, 1 + i)).toISOString().slice(0, 10);
    const winter = (gap: boolean) =>
      climateSeries(
        Array.from({ length: 365 }, (_, i) => {
          const c = i >= 150 && i < 250 ? -5 : 10;
          const value = gap && i >= 200 && i < 210 ? null : c;
          return { day: day(i), maxC: value, minC: value, precipitationMm: 0 };
        }),
      );
    for (const gap of [false, true])
      expect(winterClimate(winter(gap)).find((one) => one.startYear === 2001)?.freezingIndexCDays).toBeCloseTo(500, 9);
  });
});
