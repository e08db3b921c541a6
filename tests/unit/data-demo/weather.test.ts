import { describe, expect, test } from 'vitest';
import { dayOf, inSeason, isoOf, writeDate } from '../../../data-demo/days.ts';
import { stationNormals } from '../../../data-demo/station-normals.ts';
import { STATIONS } from '../../../data-demo/stations.ts';
import { generateWeather } from '../../../data-demo/weather.ts';

describe('weather of the invented stations', () => {
  test('30 years of days in order, few missing, maximum never below minimum', () => {
    const series = [...generateWeather(1, STATIONS[4])];
    expect(isoOf(series[0].day)).toBe('1996-07-01');
    expect(isoOf(series[series.length - 1].day)).toBe('2026-06-30');
    expect(series.length).toBe(10_957);
    series.forEach(({ day, maxC, minC }, i) => {
      expect(day).toBe(series[0].day + i);
      if (maxC !== null && minC !== null) expect(maxC).toBeGreaterThanOrEqual(minC);
    });
    const missing = series.filter(({ maxC }) => maxC === null).length / series.length;
    expect(missing).toBeGreaterThan(0);
    expect(missing).toBeLessThan(0.02);
  });

  test('the districts lie in different zones', () => {
    // LTPP: freeze above 83.3 °C-days, wet above 508 mm a year (from memory).
    const zones = STATIONS.map((station) => {
      const normals = stationNormals([...generateWeather(20_260_701, station)]);
      return `${normals.precipitationMm > 508 ? 'wet' : 'dry'}-${normals.freezingIndexCDays > 83.3 ? 'freeze' : 'nonfreeze'}`;
    });
    expect(zones.slice(0, 4)).toEqual(Array(4).fill('wet-freeze'));
    expect(zones.slice(8)).toEqual(Array(4).fill('wet-nonfreeze'));
    expect(zones.slice(4, 8)).toContain('dry-nonfreeze');
    expect(zones.slice(4, 8)).toContain('dry-freeze');
  });
});

describe('dates as an agency writes them', () => {
  test('a day, a month, a year and some years, with the last day each may mean', () => {
    const day = dayOf(2012, 2, 14);
    const written = (['day', 'month', 'year', 'range'] as const).map((precision) => writeDate(day, precision, 1));
    expect(written.map(({ text }) => text)).toEqual(['2012-02-14', '2012-02', '2012', '2011/2013']);
    expect(written.map(({ latestDay }) => isoOf(latestDay))).toEqual([
      '2012-02-14',
      '2012-02-29',
      '2012-12-31',
      '2013-12-31',
    ]);
  });

  test('work waits for the season', () => {
    expect(isoOf(inSeason(dayOf(2012, 1, 3)))).toBe('2012-04-15');
    expect(isoOf(inSeason(dayOf(2012, 6, 3)))).toBe('2012-06-03');
    expect(isoOf(inSeason(dayOf(2012, 11, 3)))).toBe('2013-04-15');
  });
});
