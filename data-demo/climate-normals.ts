import { yearOf } from './days.ts';
import type { WeatherDay } from './weather.ts';

/** Climate of one station as the model uses it. */
export interface ClimateNormals {
  readonly freezingIndexCDays: number;
  readonly freezeThawDays: number;
  readonly temperatureRangeC: number;
  readonly precipitationMm: number;
}

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

/** Days in a year or a season below which it is left out as incomplete. */
const ENOUGH_DAYS = 330;

/** Largest fall of the running sum of daily means from a peak to a later trough, degree-days C. */
function peakToTrough(means: readonly number[]): number {
  let [sum, peak, largest] = [0, 0, 0];
  for (const value of means) {
    sum += value;
    peak = Math.max(peak, sum);
    largest = Math.max(largest, peak - sum);
  }
  return largest;
}

/** Values grouped by a key, groups with too few days left out. */
function groups(days: readonly WeatherDay[], keyOf: (day: number) => number): WeatherDay[][] {
  const byKey = new Map<number, WeatherDay[]>();
  for (const day of days) {
    const group = byKey.get(keyOf(day.day)) ?? [];
    group.push(day);
    byKey.set(keyOf(day.day), group);
  }
  return [...byKey.values()].filter((group) => group.length >= ENOUGH_DAYS);
}

/**
 * Normals of a daily series: freezing index as the mean over seasons (July to June) of the peak-to-trough fall of the
 * cumulative degree-days (US Army Corps of Engineers' definition); days with a minimum below and a maximum above 0 °C;
 * the mean over calendar years of highest maximum less lowest minimum; mean yearly precipitation. Sums are scaled up
 * for missing days.
 */
export function climateNormals(days: readonly WeatherDay[]): ClimateNormals {
  const seasons = groups(days, (day) => yearOf(day - 181));
  const years = groups(days, yearOf);
  const read = days.flatMap(({ maxC, minC }) => (maxC === null || minC === null ? [] : [{ maxC, minC }]));
  const rain = days.flatMap(({ precipitationMm }) => precipitationMm ?? []);
  return {
    freezingIndexCDays: mean(
      seasons.map((season) =>
        peakToTrough(season.flatMap(({ maxC, minC }) => (maxC === null || minC === null ? [] : [(maxC + minC) / 2]))),
      ),
    ),
    freezeThawDays: (read.filter(({ maxC, minC }) => minC < 0 && maxC > 0).length / read.length) * 365.25,
    temperatureRangeC: mean(
      years.map(
        (year) =>
          Math.max(...year.flatMap(({ maxC }) => maxC ?? [])) - Math.min(...year.flatMap(({ minC }) => minC ?? [])),
      ),
    ),
    precipitationMm: mean(rain) * 365.25,
  };
}
