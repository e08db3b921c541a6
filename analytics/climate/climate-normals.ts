import { civilFromDays, dayNumber } from '../survival/observation-dates.ts';
import { type ClimateZone, climateZone } from './climate-zone.ts';
import { freezingIndexCDays } from './freezing-index.ts';

/** One day of a station's record; null where a reading is missing. */
export interface WeatherDay {
  /** ISO day. */ readonly day: string;
  readonly maxC: number | null;
  readonly minC: number | null;
  readonly precipitationMm: number | null;
}

/** Climate of one station as the service-life model uses it. */
export interface ClimateNormals {
  readonly freezingIndexCDays: number;
  readonly freezeThawDaysPerYear: number;
  readonly temperatureRangeC: number;
  readonly precipitationMmPerYear: number;
  readonly zone: ClimateZone;
  /** Calendar years and freezing seasons that were complete enough to use. */
  readonly years: number;
  readonly seasons: number;
  /** Calendar years begun in the record that were too patchy to use. */ readonly yearsLeftOut: number;
}

/** A year or season with fewer readings than this is left out: at most about five weeks may be missing. */
export const ENOUGH_DAYS = 330;
const DAYS_PER_YEAR = 365.25;
/** Freezing seasons run from July to June, so that a winter is never cut in two. */
const SEASON_SHIFT_DAYS = 181;

/**
 * A freeze-thaw day: minimum below 0 °C and maximum above it. A day that only touches 0 °C does not count.
 * Source: frost days less ice days (US Army ETL-0287, 1982, from memory).
 */
export const isFreezeThawDay = (maxC: number, minC: number): boolean => minC < 0 && maxC > 0;

/**
 * Normals of a daily record.
 * - freezing index: mean over seasons from July to June of the peak-to-trough fall of the cumulative degree-days;
 * - freeze-thaw days and precipitation: mean a year, scaled for missing days;
 * - temperature range: mean over calendar years of the highest maximum less the lowest minimum.
 * @returns null when no calendar year or no season is complete enough
 */
export function climateNormals(record: readonly WeatherDay[]): ClimateNormals | null {
  const days = record.map(numbered).sort((a, b) => a.number - b.number);
  const allYears = grouped(days, (day) => civilFromDays(day.number).year);
  const years = allYears.map(temperatures).filter(enoughDays);
  const wetYears = allYears.map(precipitations).filter(enoughDays);
  const seasons = grouped(days, (day) => civilFromDays(day.number - SEASON_SHIFT_DAYS).year)
    .map(temperatures)
    .filter(enoughDays);
  if (years.length === 0 || wetYears.length === 0 || seasons.length === 0) return null;
  const freezingIndex = mean(seasons.map((season) => freezingIndexCDays(season.map((t) => t.meanC))));
  const precipitation = mean(wetYears.flat()) * DAYS_PER_YEAR;
  return {
    freezingIndexCDays: freezingIndex,
    freezeThawDaysPerYear:
      mean(years.flatMap((year) => year.map((t) => Number(isFreezeThawDay(t.maxC, t.minC))))) * DAYS_PER_YEAR,
    temperatureRangeC: mean(years.map(rangeC)),
    precipitationMmPerYear: precipitation,
    zone: climateZone(freezingIndex, precipitation),
    years: years.length,
    seasons: seasons.length,
    yearsLeftOut: allYears.length - years.length,
  };
}

const numbered = ({ day, maxC, minC, precipitationMm }: WeatherDay) => ({
  number: dayNumber(day),
  day,
  maxC,
  minC,
  precipitationMm,
});

function grouped<D>(days: readonly D[], keyOf: (day: D) => number): D[][] {
  const groups = new Map<number, D[]>();
  for (const day of days) {
    const key = keyOf(day);
    const group = groups.get(key);
    if (group) group.push(day);
    else groups.set(key, [day]);
  }
  return [...groups.values()];
}

interface DayTemperatures {
  readonly maxC: number;
  readonly minC: number;
  readonly meanC: number;
}

const temperatures = (days: readonly WeatherDay[]): DayTemperatures[] =>
  days.flatMap(({ maxC, minC }) => (maxC === null || minC === null ? [] : { maxC, minC, meanC: (maxC + minC) / 2 }));

const precipitations = (days: readonly WeatherDay[]): number[] =>
  days.flatMap(({ precipitationMm }) => precipitationMm ?? []);

const enoughDays = (readings: readonly unknown[]): boolean => readings.length >= ENOUGH_DAYS;

function rangeC(year: readonly DayTemperatures[]): number {
  const highest = year.reduce((high, t) => Math.max(high, t.maxC), Number.NEGATIVE_INFINITY);
  const lowest = year.reduce((low, t) => Math.min(low, t.minC), Number.POSITIVE_INFINITY);
  return highest - lowest;
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
