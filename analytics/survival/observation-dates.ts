const DASH = 45;
const ZERO = 48;
const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/**
 * Whole days since 1970-01-01 of an ISO day. Read digit by digit: a network holds a million of them.
 * @throws RangeError when the text is not a day of the Gregorian calendar
 */
export function dayNumber(iso: string): number {
  if (iso.length === 10 && iso.charCodeAt(4) === DASH && iso.charCodeAt(7) === DASH) {
    const year = digits(iso, 0, 4);
    const month = digits(iso, 5, 7);
    const day = digits(iso, 8, 10);
    // Not a digit somewhere makes a number NaN, of which no comparison holds.
    if (year >= 0 && month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(year, month))
      return daysFromCivil(year, month, day);
  }
  throw new RangeError(`Day is ${JSON.stringify(iso)}; expected a calendar day as YYYY-MM-DD`);
}

function digits(text: string, from: number, to: number): number {
  let number = 0;
  for (let i = from; i < to; i++) {
    const digit = text.charCodeAt(i) - ZERO;
    if (digit < 0 || digit > 9) return Number.NaN;
    number = number * 10 + digit;
  }
  return number;
}

const daysInMonth = (year: number, month: number): number =>
  month === 2 && year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0) ? 29 : MONTH_DAYS[month - 1];

/** ISO day of whole days since 1970-01-01; the inverse of `dayNumber`, for years 0000 to 9999. */
export function isoDay(days: number): string {
  const { year, month, day } = civilFromDays(days);
  return `${TWO_DIGITS[Math.floor(year / 100)]}${TWO_DIGITS[year % 100]}-${TWO_DIGITS[month]}-${TWO_DIGITS[day]}`;
}

const TWO_DIGITS = Array.from({ length: 100 }, (_, number) => String(number).padStart(2, '0'));

/** Whole days from one ISO day to another; negative when `to` comes first. */
export const daysBetween = (from: string, to: string): number => dayNumber(to) - dayNumber(from);

/** Day in the middle of a range of days, rounded down. */
export const middleDay = (fromDay: number, toDay: number): number => Math.floor((fromDay + toDay) / 2);

/** Years of 365.25 days, the year in which fitted models count. */
export const yearsOfDays = (days: number): number => days / 365.25;

/** Days since 1970-01-01 of a date, counting years from March in cycles of 400 years (146,097 days). */
function daysFromCivil(year: number, month: number, day: number): number {
  const marchYear = month <= 2 ? year - 1 : year;
  const cycle = Math.floor(marchYear / 400);
  const yearOfCycle = marchYear - cycle * 400;
  const dayOfYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  const dayOfCycle = yearOfCycle * 365 + Math.floor(yearOfCycle / 4) - Math.floor(yearOfCycle / 100) + dayOfYear;
  return cycle * 146_097 + dayOfCycle - 719_468;
}

/** Year, month (1 to 12) and day of whole days since 1970-01-01. */
export function civilFromDays(days: number): { year: number; month: number; day: number } {
  const shifted = days + 719_468;
  const cycle = Math.floor(shifted / 146_097);
  const dayOfCycle = shifted - cycle * 146_097;
  const yearOfCycle = Math.floor(
    (dayOfCycle - Math.floor(dayOfCycle / 1460) + Math.floor(dayOfCycle / 36_524) - Math.floor(dayOfCycle / 146_096)) /
      365,
  );
  const dayOfYear = dayOfCycle - (365 * yearOfCycle + Math.floor(yearOfCycle / 4) - Math.floor(yearOfCycle / 100));
  const marchMonth = Math.floor((5 * dayOfYear + 2) / 153);
  const day = dayOfYear - Math.floor((153 * marchMonth + 2) / 5) + 1;
  const month = marchMonth < 10 ? marchMonth + 3 : marchMonth - 9;
  return { year: yearOfCycle + cycle * 400 + (month <= 2 ? 1 : 0), month, day };
}
