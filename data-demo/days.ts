/** Days are whole numbers counted from 1970-01-01 (day 0), so that ages are exact and no time zone can enter. */
const MILLISECONDS_PER_DAY = 86_400_000;
export const DAYS_PER_YEAR = 365.25;

export const dayOf = (year: number, month: number, dayOfMonth: number): number =>
  Date.UTC(year, month - 1, dayOfMonth) / MILLISECONDS_PER_DAY;

const isoTexts = new Map<number, string>();

/** ISO 8601 text of a day, e.g. 2026-06-30. */
export function isoOf(day: number): string {
  let text = isoTexts.get(day);
  if (text === undefined) {
    text = new Date(day * MILLISECONDS_PER_DAY).toISOString().slice(0, 10);
    isoTexts.set(day, text);
  }
  return text;
}

export const yearOf = (day: number): number => Number(isoOf(day).slice(0, 4));

/** Day of the year, 0 on 1 January. */
export const dayInYear = (day: number): number => day - dayOf(yearOf(day), 1, 1);

/** The first day at or after `day` that lies in the working season, 15 April to 15 October. */
export function inSeason(day: number): number {
  const year = yearOf(day);
  const opens = dayOf(year, 4, 15);
  if (day <= opens) return opens;
  return day <= dayOf(year, 10, 15) ? day : dayOf(year + 1, 4, 15);
}

/** How exactly the day of an installation is known. */
export type DatePrecision = 'day' | 'month' | 'year' | 'range';

/** A day as an agency would have written it: YYYY-MM-DD, YYYY-MM, YYYY or YYYY/YYYY, and the last day it may mean. */
export function writeDate(day: number, precision: DatePrecision, yearsBefore: number) {
  const iso = isoOf(day);
  const year = Number(iso.slice(0, 4));
  switch (precision) {
    case 'day':
      return { text: iso, latestDay: day };
    case 'month':
      return { text: iso.slice(0, 7), latestDay: dayOf(year, Number(iso.slice(5, 7)) + 1, 1) - 1 };
    case 'year':
      return { text: String(year), latestDay: dayOf(year, 12, 31) };
    case 'range':
      return {
        text: `${year - yearsBefore}/${year - yearsBefore + 2}`,
        latestDay: dayOf(year - yearsBefore + 2, 12, 31),
      };
    default:
      return precision satisfies never;
  }
}
