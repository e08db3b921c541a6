/** First and last day of what a date in a file can mean, ISO. Equal when the day is known. */
export interface Period {
  readonly from: string;
  readonly to: string;
}
export type DateReading<T> = { ok: true; value: T } | { ok: false; hint?: string };

const EARLIEST_YEAR = 1850;
const LATEST_YEAR = 2200;
const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

const isLeap = (year: number): boolean => (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
const daysInMonth = (year: number, month: number): number => (month === 2 && isLeap(year) ? 29 : MONTH_DAYS[month - 1]);
const two = (n: number): string => (n < 10 ? `0${n}` : String(n));

const DAY = /^(\d{4})-(\d{2})-(\d{2})$/;
const DAY_AND_TIME = /^(\d{4}-\d{2}-\d{2})[T ][\d:.]+(?:Z|[+-]\d{2}:?\d{2})?$/;
const SLASHED_DAY = /^(\d{4})\/(\d{1,2})\/(\d{1,2})$/;
const COMPACT_DAY = /^(\d{4})(\d{2})(\d{2})$/;

/** A calendar day as YYYY-MM-DD. Also read: YYYY/MM/DD, YYYYMMDD, and a time of day behind it, which is left out. */
export function readDay(text: string): DateReading<string> {
  const withTime = DAY_AND_TIME.exec(text);
  const match = DAY.exec(withTime ? withTime[1] : text) ?? SLASHED_DAY.exec(text) ?? COMPACT_DAY.exec(text);
  if (!match) return { ok: false, hint: dateHint(text) };
  const [year, month, day] = [Number(match[1]), Number(match[2]), Number(match[3])];
  if (year < EARLIEST_YEAR || year > LATEST_YEAR) return { ok: false, hint: yearHint };
  if (month < 1 || month > 12) return { ok: false, hint: `There is no month ${match[2]}.` };
  const last = daysInMonth(year, month);
  if (day < 1 || day > last) return { ok: false, hint: `${year}-${two(month)} has ${last} days.` };
  return { ok: true, value: `${year}-${two(month)}-${two(day)}` };
}

/** A day, a month (YYYY-MM), a year (YYYY), or a range of any two of them (2003/2006): first and last possible day. */
export function readPeriod(text: string): DateReading<Period> {
  if (SLASHED_DAY.test(text)) return asPeriod(readDay(text));
  const ends = text.split('/');
  if (ends.length === 1) return readOnePeriod(text);
  if (ends.length > 2) return { ok: false, hint: dateHint(text) };
  const first = readOnePeriod(ends[0].trim());
  const last = readOnePeriod(ends[1].trim());
  if (!first.ok) return dayMonthOrder(text, first);
  if (!last.ok) return dayMonthOrder(text, last);
  if (last.value.to < first.value.from) return { ok: false, hint: 'The range ends before it begins.' };
  return { ok: true, value: { from: first.value.from, to: last.value.to } };
}

function readOnePeriod(text: string): DateReading<Period> {
  const match = /^(\d{4})(?:-(\d{2}))?$/.exec(text);
  if (!match) return asPeriod(readDay(text));
  const year = Number(match[1]);
  if (year < EARLIEST_YEAR || year > LATEST_YEAR) return { ok: false, hint: yearHint };
  if (match[2] === undefined) return { ok: true, value: { from: `${year}-01-01`, to: `${year}-12-31` } };
  const month = Number(match[2]);
  if (month < 1 || month > 12) return { ok: false, hint: `There is no month ${match[2]}.` };
  return {
    ok: true,
    value: { from: `${year}-${match[2]}-01`, to: `${year}-${match[2]}-${daysInMonth(year, month)}` },
  };
}

const asPeriod = (day: DateReading<string>): DateReading<Period> =>
  day.ok ? { ok: true, value: { from: day.value, to: day.value } } : day;

const dayMonthOrder = (text: string, failure: DateReading<Period>): DateReading<Period> =>
  /^\d{1,2}\/\d{4}$/.test(text) ? { ok: false, hint: 'Write a month as YYYY-MM.' } : failure;

const yearHint = `Years from ${EARLIEST_YEAR} to ${LATEST_YEAR} are read.`;

/** Why a text is no date, when the reason is a common one. */
function dateHint(text: string): string | undefined {
  if (/^\d{5}(\.\d+)?$/.test(text)) {
    return `It looks like a spreadsheet's day number (${serialDay(Number(text))}). Format the column as YYYY-MM-DD and save again.`;
  }
  if (/^\d{1,2}[/.-]\d{1,2}[/.-]\d{2,4}$/.test(text)) {
    return 'Day and month could be either way round. Write the year first: YYYY-MM-DD.';
  }
  return undefined;
}

/** Day 1 of a spreadsheet is 1900-01-01, and it counts a 29 February 1900 that never was: hence the origin 1899-12-30. */
function serialDay(serial: number): string {
  return new Date(Date.UTC(1899, 11, 30) + Math.floor(serial) * 86_400_000).toISOString().slice(0, 10);
}

/** The same day some years later, as ISO text; 29 February becomes 1 March in a year without it. */
export function addYears(day: string, years: number): string {
  const year = Number(day.slice(0, 4)) + years;
  const rest = day.slice(4);
  return `${year}${rest === '-02-29' && !isLeap(year) ? '-03-01' : rest}`;
}
