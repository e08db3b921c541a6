import { seededRandom } from '../numeric/seeded-normals.ts';
import { civilFromDays } from '../survival/observation-dates.ts';

export interface ResampleSettings {
  /** Days copied in one go, so that spells of weather stay whole. */ readonly blockDays: number;
  /** A block starts at most so many days of the year away from where it is put. */ readonly shiftDays: number;
  readonly seed: number;
}

/** Spells of wet or cold weather last days: ten days keep them; a week either way keeps the season. */
export const USUAL_RESAMPLE: ResampleSettings = { blockDays: 10, shiftDays: 7, seed: 1 };

const DAYS_PER_YEAR = 365.2425;

/**
 * An invented run of weather: for each day from `startDay`, the index of the recorded day whose weather it has. Whole blocks
 * are drawn from the same time of the year in a year of the record drawn at random. `replicate` makes a stream of its own,
 * so that the n-th run is the same whatever it is used for.
 * @param record first day number and number of days of the record, at least a year
 * @param leftOut years of the record, counted from its first, that are not drawn from; a block that would have been is drawn
 * from one of the others, and all other blocks stay as they were
 */
export function resampledDays(
  record: { readonly firstDay: number; readonly days: number },
  run: { readonly startDay: number; readonly days: number; readonly replicate: number },
  { blockDays, shiftDays, seed }: ResampleSettings,
  leftOut: (year: number) => boolean = () => false,
): Int32Array {
  const { uniform } = seededRandom(Math.imul(seed, 0x9e3779b1) ^ Math.imul(run.replicate + 1, 0x85ebca6b));
  const source = new Int32Array(run.days);
  for (let from = 0; from < run.days; from += blockDays) {
    const sameSeason = firstInSeason(run.startDay + from, record.firstDay);
    const years = Math.floor(Math.max(0, record.days - 1 - sameSeason) / DAYS_PER_YEAR) + 1;
    const year = drawnYear(uniform() * years, years, leftOut);
    const shift = Math.round((2 * uniform() - 1) * shiftDays);
    const start = sameSeason + Math.round(year * DAYS_PER_YEAR) + shift;
    for (let i = 0; i < blockDays && from + i < run.days; i++) source[from + i] = wrapped(start + i, record.days);
  }
  return source;
}

function drawnYear(at: number, years: number, leftOut: (year: number) => boolean): number {
  const year = Math.floor(at);
  if (!leftOut(year)) return year;
  const kept = Array.from({ length: years }, (_, i) => i).filter((each) => !leftOut(each));
  return kept.length === 0 ? year : kept[Math.floor((at - year) * kept.length)];
}

/** Index of the first day of the record that has the day of the year of `day`, 29 February as 28 February. */
function firstInSeason(day: number, firstDay: number): number {
  return (dayOfYear(day) - dayOfYear(firstDay) + 365) % 365;
}

const MONTH_START = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];

/** 0 to 364; 29 February counts as 28 February. */
export function dayOfYear(dayNumber: number): number {
  const { month, day } = civilFromDays(dayNumber);
  return MONTH_START[month - 1] + (month === 2 && day === 29 ? 28 : day) - 1;
}

/** A day before the start or after the end of the record is taken a whole number of years inside it. */
function wrapped(at: number, days: number): number {
  let inside = at;
  while (inside < 0) inside += 365;
  while (inside >= days) inside -= 365;
  return inside;
}
