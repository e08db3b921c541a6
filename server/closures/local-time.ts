import type { ClockChange } from '../../analytics/closures/closure-windows.ts';
import { dayNumber, isoDay } from '../../analytics/survival/observation-dates.ts';

const MINUTES_PER_DAY = 1440;
const MS_PER_MINUTE = 60_000;

/** YYYY-MM-DDTHH:MM of a civil minute (see `analytics/closures/closure-plan.ts`). */
export function localText(minute: number): string {
  const whole = Math.round(minute);
  const day = Math.floor(whole / MINUTES_PER_DAY);
  const clock = whole - day * MINUTES_PER_DAY;
  const two = (value: number) => String(value).padStart(2, '0');
  return `${isoDay(day)}T${two(Math.floor(clock / 60))}:${two(clock % 60)}`;
}

/** @throws RangeError for a day that the calendar does not have or an hour past 23:59 */
export function minuteOf(local: string): number {
  const [hours, minutes] = [Number(local.slice(11, 13)), Number(local.slice(14, 16))];
  if (!(hours < 24 && minutes < 60)) throw new RangeError(`Time is ${local}; expected hours to 23 and minutes to 59`);
  return dayNumber(local.slice(0, 10)) * MINUTES_PER_DAY + hours * 60 + minutes;
}

/** Whether there is such a day and clock, in years that records and calendars reckon with. */
export const isLocalTime = (local: string): boolean => {
  try {
    return Number.isFinite(minuteOf(local)) && local >= '1900' && local < '2301';
  } catch {
    return false;
  }
};

/** YYYY-MM of a civil minute. */
export const monthOf = (minute: number): string => isoDay(Math.floor(minute / MINUTES_PER_DAY)).slice(0, 7);

/** First minute of an ISO day. */
export const dayStart = (isoDate: string): number => dayNumber(isoDate) * MINUTES_PER_DAY;

/** Minutes after midnight of a clock HH:MM. */
export const clockMinutes = (clock: string): number => Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3, 5));

const formats = new Map<string, Intl.DateTimeFormat>();

function formatOf(timeZone: string): Intl.DateTimeFormat {
  const known = formats.get(timeZone);
  if (known) return known;
  const made = new Intl.DateTimeFormat('en-US', {
    ...{ timeZone, hourCycle: 'h23', calendar: 'gregory', numberingSystem: 'latn' },
    ...{ year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit', minute: '2-digit' },
  });
  formats.set(timeZone, made);
  return made;
}

/** Local minus universal time at an instant, min. @throws RangeError for a time zone that is not known */
function offsetAt(timeZone: string, utcMinute: number): number {
  const parts = formatOf(timeZone).formatToParts(new Date(utcMinute * MS_PER_MINUTE));
  const part = (type: Intl.DateTimeFormatPartTypes) => parts.find((each) => each.type === type)?.value ?? '0';
  const day = dayNumber(`${part('year').padStart(4, '0')}-${part('month')}-${part('day')}`);
  return day * MINUTES_PER_DAY + Number(part('hour')) * 60 + Number(part('minute')) - utcMinute;
}

/** Universal minute of a civil minute; an hour that the clock skips is read as if it had not been put forward. */
export function utcMinuteOf(timeZone: string, minute: number): number {
  const before = offsetAt(timeZone, minute - offsetAt(timeZone, minute) - 1);
  const guess = minute - before;
  const after = offsetAt(timeZone, guess);
  return before === after ? guess : localAgain(timeZone, minute, before, after);
}

/** Around a change of the clock: the reading that comes back as the same local time, the earlier one first. */
function localAgain(timeZone: string, minute: number, before: number, after: number): number {
  for (const offset of [Math.max(before, after), Math.min(before, after)])
    if (offsetAt(timeZone, minute - offset) === offset) return minute - offset;
  return minute - before;
}

/** By how much the clock of a zone is put back (+) or forward (-) between two civil minutes. */
export const clockChangeIn =
  (timeZone: string): ClockChange =>
  (startMinute, endMinute) =>
    utcMinuteOf(timeZone, endMinute) - utcMinuteOf(timeZone, startMinute) - (endMinute - startMinute);

/** Day of the week, day and month in plain words, and the clock: "Tue 4 May 2027 23:00". */
export function spokenTime(local: string): string {
  const day = new Date(`${local.slice(0, 10)}T00:00Z`);
  const words = new Intl.DateTimeFormat('en-GB', {
    ...{ weekday: 'short', day: 'numeric', month: 'short', year: 'numeric', timeZone: 'UTC' },
  }).format(day);
  return `${words.replace(',', '')} ${local.slice(11)}`;
}
