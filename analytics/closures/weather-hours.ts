import type { WeatherDay } from '../climate/climate-normals.ts';
import { dayNumber } from '../survival/observation-dates.ts';
import { MINUTES_PER_DAY } from './closure-plan.ts';
import { passesTemperature, type WeatherGate } from './weather-gates.ts';

/** A station's record by day, gaps included: entry i is day `firstDay + i`; NaN where a reading is missing. */
export interface WeatherSeries {
  readonly firstDay: number;
  readonly maxC: Float64Array;
  readonly minC: Float64Array;
  readonly precipitationMm: Float64Array;
}

/** Hours of work in a day, and the weather they need. */
export interface WeatherShift {
  readonly gate: WeatherGate;
  /** Start on the local clock, min after midnight, 0 to 1439. */ readonly startMinuteOfDay: number;
  readonly lengthMinutes: number;
  /** Days before that must be without rain, so that the joint is dry; 0 or more. */ readonly dryDaysBefore: number;
}

/** Rain up to this is no rain: the least a gauge tells from a trace is 0.2 mm (0.01 in). */
export const NO_RAIN_MM = 0.254;

/** Least temperature at 06:00, greatest at 15:00: common practice where only the extremes of a day are known. */
export const COLDEST_MINUTE = 6 * 60;
export const WARMEST_MINUTE = 15 * 60;

/** How days are judged, for the screen. */
export const WEATHER_RULE =
  'A shift is workable if the lowest air temperature in its hours passes the limit and no day it touches had rain. ' +
  'Between the least of a day (06:00) and its greatest (15:00) temperature follows half a cosine, so a night is judged by ' +
  'about the minimum of the morning in which it ends. Air stands in for pavement. "Rising" is judged from day to day: the ' +
  'mean of the day is not below that of the day before.';

/** @throws RangeError when a day is not a calendar day */
export function weatherSeries(record: readonly WeatherDay[]): WeatherSeries {
  const numbers = record.map(({ day }) => dayNumber(day));
  const firstDay = numbers.reduce((least, day) => Math.min(least, day), Number.POSITIVE_INFINITY);
  const lastDay = numbers.reduce((most, day) => Math.max(most, day), Number.NEGATIVE_INFINITY);
  const length = record.length === 0 ? 0 : lastDay - firstDay + 1;
  const blank = () => new Float64Array(length).fill(Number.NaN);
  const series = { firstDay, maxC: blank(), minC: blank(), precipitationMm: blank() };
  record.forEach((day, i) => {
    const at = numbers[i] - firstDay;
    series.maxC[at] = day.maxC ?? Number.NaN;
    series.minC[at] = day.minC ?? Number.NaN;
    series.precipitationMm[at] = day.precipitationMm ?? Number.NaN;
  });
  return series;
}

/** 1: workable, 0: not, 2: a reading that is needed is missing. */
export type Workable = 0 | 1 | 2;

/**
 * Whether a shift that starts on day `at` of the series is workable. With any reading missing that it needs, it is unknown,
 * even where another forbids it: else days with gaps would count only when they are bad.
 */
export function isWorkable(series: WeatherSeries, at: number, shift: WeatherShift): Workable {
  const { gate, startMinuteOfDay, lengthMinutes } = shift;
  const lowest = lowestC(series, at, startMinuteOfDay, lengthMinutes);
  const rain = gate.noRain ? mostRainMm(series, at, shift) : 0;
  const warming = gate.rising ? meanC(series, at) - meanC(series, at - 1) : 0;
  if (Number.isNaN(lowest + rain + warming)) return 2;
  return passesTemperature(gate, lowest) && rain <= NO_RAIN_MM && warming >= 0 ? 1 : 0;
}

/** Most rain of the days that a shift touches and of those before that must be dry; NaN when one is missing. */
function mostRainMm(series: WeatherSeries, at: number, shift: WeatherShift): number {
  const lastDay = at + Math.floor((shift.startMinuteOfDay + shift.lengthMinutes - 1) / MINUTES_PER_DAY);
  let most = 0;
  for (let day = at - shift.dryDaysBefore; day <= lastDay; day++)
    most = Math.max(most, reading(series.precipitationMm, day));
  return most;
}

const reading = (values: Float64Array, day: number): number =>
  day >= 0 && day < values.length ? values[day] : Number.NaN;

const meanC = (series: WeatherSeries, day: number): number =>
  (reading(series.maxC, day) + reading(series.minC, day)) / 2;

/** Lowest temperature in some hours: at their ends, or at 06:00 where they span it. NaN when a reading is missing. */
export function lowestC(series: WeatherSeries, at: number, startMinute: number, lengthMinutes: number): number {
  const endMinute = startMinute + lengthMinutes;
  let lowest = Math.min(temperatureC(series, at, startMinute), temperatureC(series, at, endMinute));
  for (let morning = COLDEST_MINUTE; morning <= endMinute; morning += MINUTES_PER_DAY)
    if (morning >= startMinute) lowest = Math.min(lowest, temperatureC(series, at, morning));
  return lowest;
}

/** Temperature at a minute counted from midnight of day `at`; NaN when a reading is missing. */
function temperatureC(series: WeatherSeries, at: number, minute: number): number {
  const day = at + Math.floor(minute / MINUTES_PER_DAY);
  const clock = minute - Math.floor(minute / MINUTES_PER_DAY) * MINUTES_PER_DAY;
  const dayMax = reading(series.maxC, day);
  const dayMin = reading(series.minC, day);
  if (clock >= COLDEST_MINUTE && clock <= WARMEST_MINUTE)
    return between(dayMin, dayMax, (clock - COLDEST_MINUTE) / (WARMEST_MINUTE - COLDEST_MINUTE));
  const night = MINUTES_PER_DAY - (WARMEST_MINUTE - COLDEST_MINUTE);
  if (clock > WARMEST_MINUTE) return between(dayMax, reading(series.minC, day + 1), (clock - WARMEST_MINUTE) / night);
  return between(reading(series.maxC, day - 1), dayMin, (clock + MINUTES_PER_DAY - WARMEST_MINUTE) / night);
}

/** Half a cosine from one extreme to the next. */
const between = (from: number, to: number, share: number): number =>
  from + ((to - from) * (1 - Math.cos(Math.PI * share))) / 2;
