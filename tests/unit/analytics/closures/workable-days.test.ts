import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import type { WeatherDay } from '../../../../analytics/climate/climate-normals.ts';
import { resampledDays } from '../../../../analytics/closures/resampled-weather.ts';
import { weatherGate } from '../../../../analytics/closures/weather-gates.ts';
import { isWorkable, lowestC, type WeatherShift, weatherSeries } from '../../../../analytics/closures/weather-hours.ts';
import { workableDays } from '../../../../analytics/closures/workable-days.ts';
import { dayNumber } from '../../../../analytics/survival/observation-dates.ts';

const day = (
  iso: string,
  minC: number | null,
  maxC: number | null,
  precipitationMm: number | null = 0,
): WeatherDay => ({
  day: iso,
  minC,
  maxC,
  precipitationMm,
});
const shift = (change: Partial<WeatherShift> = {}): WeatherShift => ({
  gate: weatherGate('state-40f', 'silicone-self-levelling'),
  startMinuteOfDay: 23 * 60,
  lengthMinutes: 360,
  dryDaysBefore: 0,
  ...change,
});

describe('one shift', () => {
  const series = weatherSeries([day('2027-05-01', 2, 20), day('2027-05-02', 6, 22), day('2027-05-03', 10, 18, 3)]);

  test('a night that spans 06:00 is judged by the minimum of the morning in which it ends', () => {
    expect(lowestC(series, 0, 22 * 60, 9 * 60)).toBe(6);
  });

  test('a day shift from 08:00 is judged at its cold end: half a cosine from 06:00 to 15:00', () => {
    // By hand: 2 + (20 - 2) x (1 - cos(pi x 2/9)) / 2 = 2 + 18 x 0.11698 = 4.1056.
    expect(lowestC(series, 0, 8 * 60, 6 * 60)).toBeCloseTo(4.1056, 4);
  });

  test('rain on a day that the shift touches stops it; so does rain before, where the joint must be dry', () => {
    expect(isWorkable(series, 0, shift())).toBe(1);
    expect(isWorkable(series, 1, shift())).toBe(0);
    expect(isWorkable(series, 2, shift({ startMinuteOfDay: 540, lengthMinutes: 300 }))).toBe(0);
  });

  test('a missing reading makes it unknown, never workable', () => {
    const gap = weatherSeries([day('2027-05-01', 8, 20), day('2027-05-02', null, 22), day('2027-05-03', 9, 18)]);
    expect(isWorkable(gap, 0, shift())).toBe(2);
    expect(isWorkable(gap, 1, shift({ startMinuteOfDay: 540, lengthMinutes: 60 }))).toBe(2);
    expect(isWorkable(weatherSeries([day('2027-05-01', 8, 20)]), 0, shift())).toBe(2);
  });

  test('rising is judged from day to day', () => {
    const gate = weatherGate('state-45f-rising', 'silicone-self-levelling');
    const noon = shift({ gate, startMinuteOfDay: 660, lengthMinutes: 180 });
    const warming = weatherSeries([day('2027-05-01', 8, 20), day('2027-05-02', 9, 21), day('2027-05-03', 9, 18)]);
    expect([isWorkable(warming, 1, noon), isWorkable(warming, 2, noon)]).toEqual([1, 0]);
  });
});

describe('real daily records of Seattle and New York, 2012 to 2015 (vega-datasets, from NOAA)', () => {
  const rows = readFileSync(path.resolve('node_modules/vega-datasets/data/weather.csv'), 'utf8')
    .trim()
    .split('\n')
    .slice(1)
    .map((line) => line.split(','));
  const record = (place: string): WeatherDay[] =>
    rows
      .filter(([location]) => location === place)
      .map(([, iso, rain, max, min]) => day(iso, Number(min), Number(max), Number(rain)));

  /**
   * Counted anew over the text of the file, without any of the code under test: nights from 22:00 to 07:00, so that the
   * lowest temperature is the minimum of the next day; dry on both days; more than 0.254 mm is rain; at least 40 °F.
   */
  function countNights(place: string, from = '2012-01-01', until = '2015-12-31') {
    const days = rows.filter((cells) => cells[0] === place && cells[1] >= from && cells[1] <= until);
    const months = Array.from({ length: 12 }, () => ({ judged: 0, workable: 0 }));
    for (let i = 0; i + 1 < days.length; i++) {
      const month = months[Number(days[i][1].slice(5, 7)) - 1];
      month.judged += 1;
      const dry = +days[i][2] <= 0.254 && +days[i + 1][2] <= 0.254;
      if (dry && (+days[i + 1][4] * 9) / 5 + 32 >= 40) month.workable += 1;
    }
    return months;
  }
  const night = shift({ startMinuteOfDay: 22 * 60, lengthMinutes: 540 });

  test.each(['Seattle', 'New York'])('%s: nights that meet the limits agree with a plain count', (place) => {
    const found = workableDays(record(place), night, { replicates: 20 });
    if (found.kind !== 'estimated') throw new Error(found.reason);
    expect(found.months.map(({ judged, workable }) => ({ judged, workable }))).toEqual(countNights(place));
    expect(found).toMatchObject({ years: 4, daysJudged: 1460, daysMissing: 1 });
  });

  test.each(['Seattle', 'New York'])('%s: invented years have the shares of the record, season by season', (place) => {
    const found = workableDays(record(place), night, { replicates: 2000 });
    if (found.kind !== 'estimated') throw new Error(found.reason);
    const plain = countNights(place);
    const lengths = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    // A block may come from a week earlier or later, so compare with the share of the month and its neighbours.
    found.months.forEach(({ days }, i) => {
      const shares = [(i + 11) % 12, i, (i + 1) % 12].map((m) => plain[m].workable / plain[m].judged);
      const share = days.mean / lengths[i];
      expect(share).toBeGreaterThan(Math.min(...shares) - 0.05);
      expect(share).toBeLessThan(Math.max(...shares) + 0.05);
    });
    const total = found.months.reduce((sum, { days }) => sum + days.mean, 0);
    const plainTotal = (plain.reduce((sum, { workable }) => sum + workable, 0) / 1460) * 365;
    expect(Math.abs(total - plainTotal)).toBeLessThan(3);
  });

  test('Seattle: July has far more workable nights than December, and they come in runs', () => {
    const found = workableDays(record('Seattle'), night);
    if (found.kind !== 'estimated') throw new Error(found.reason);
    const [july, december] = [found.months[6], found.months[11]];
    expect(july.days.p10).toBeGreaterThan(december.days.p90);
    expect(july.pairs.mean).toBeGreaterThan(0.8 * july.days.mean);
    expect(july.longestRun.p50).toBeGreaterThan(5);
    for (const { days, pairs, longestRun } of found.months) {
      expect(pairs.mean).toBeLessThanOrEqual(days.mean);
      expect(longestRun.p90).toBeLessThanOrEqual(31);
      expect(days.p10).toBeLessThanOrEqual(days.p50);
    }
  });

  test('the chance of a day is the share of recorded days within a week of it', () => {
    const found = workableDays(record('Seattle'), night, { replicates: 10 });
    if (found.kind !== 'estimated') throw new Error(found.reason);
    const days = rows.filter(([place]) => place === 'Seattle');
    let [good, all] = [0, 0];
    days.forEach((cells, i) => {
      if (!/-07-(0[89]|1\d|2[0-2])$/.test(cells[1])) return;
      all += 1;
      if (+cells[2] <= 0.254 && +days[i + 1][2] <= 0.254 && (+days[i + 1][4] * 9) / 5 + 32 >= 40) good += 1;
    });
    expect(all).toBe(60);
    // 15 July is day 195 of the year, counted from 0.
    expect(found.chanceByDay[195]).toBeCloseTo(good / all, 12);
  });

  test('under three nearly whole years it refuses, and says how many there are', () => {
    const short = record('Seattle').filter(({ day: iso }) => iso < '2014-06-01');
    expect(workableDays(short, night)).toEqual({
      kind: 'refused',
      years: 2,
      reason: 'The record has 2 nearly whole years; workable days need at least 3.',
    });
    expect(workableDays([], night).kind).toBe('refused');
  });

  test('the same seed gives the same numbers, another seed others', () => {
    const twice = [1, 1, 2].map((seed) => workableDays(record('New York'), night, { seed, replicates: 50 }));
    expect(twice[0]).toEqual(twice[1]);
    expect(twice[0]).not.toEqual(twice[2]);
  });
});

describe('invented runs of weather', () => {
  const record = { firstDay: dayNumber('2010-03-05'), days: 2000 };
  const settings = { blockDays: 10, shiftDays: 7, seed: 4 };

  test('each day is taken from the same time of the year, and blocks stay whole', () => {
    const run = { startDay: dayNumber('2027-01-01'), days: 400, replicate: 3 };
    const source = resampledDays(record, run, settings);
    source.forEach((at, i) => {
      expect(at).toBeGreaterThanOrEqual(0);
      expect(at).toBeLessThan(record.days);
      const apart = (record.firstDay + at - (run.startDay + i)) % 365.2425;
      const season = Math.min(Math.abs(apart), 365.2425 - Math.abs(apart));
      expect(season).toBeLessThanOrEqual(10);
      if (i % 10 !== 0 && source[i - 1] < at) expect(at).toBe(source[i - 1] + 1);
    });
  });

  test('a run is the same by itself, whatever runs were drawn before', () => {
    const run = { startDay: dayNumber('2027-01-01'), days: 30, replicate: 8 };
    resampledDays(record, { ...run, replicate: 1 }, settings);
    expect(resampledDays(record, run, settings)).toEqual(resampledDays(record, run, settings));
  });
});
