import type { ClosureRules } from '../../server/schemas/closure-rules.ts';

type Barred = ClosureRules['barred'][number];

const iso = (at: Date): string => at.toISOString().slice(0, 10);
const day = (year: number, month: number, date: number): Date => new Date(Date.UTC(year, month - 1, date));
const shifted = (at: Date, days: number): Date => new Date(at.getTime() + days * 86_400_000);

/** The n-th of a weekday (0 Sunday) in a month; n = -1: the last. */
function nth(year: number, month: number, weekday: number, n: number): Date {
  if (n < 0) {
    const last = day(year, month + 1, 0);
    return shifted(last, -((last.getUTCDay() - weekday + 7) % 7));
  }
  const first = day(year, month, 1);
  return shifted(first, ((weekday - first.getUTCDay() + 7) % 7) + 7 * (n - 1));
}

/**
 * Peaks of travel around the federal holidays of the United States (5 U.S.C. 6103): the holiday's weekend, or the days around
 * it. How many days around each: common practice.
 */
export function holidayPeaks(year: number): Barred[] {
  const memorial = nth(year, 5, 1, -1);
  const labor = nth(year, 9, 1, 1);
  const thanksgiving = nth(year, 11, 4, 4);
  const peaks: readonly [string, Date, Date][] = [
    ['New Year', day(year, 1, 1), day(year, 1, 2)],
    ['Memorial Day weekend', shifted(memorial, -3), memorial],
    ['Independence Day', day(year, 7, 2), day(year, 7, 5)],
    ['Labor Day weekend', shifted(labor, -3), labor],
    ['Thanksgiving', shifted(thanksgiving, -1), shifted(thanksgiving, 3)],
    ['Christmas and year end', day(year, 12, 20), day(year, 12, 31)],
  ];
  return peaks.map(([name, from, to]) => ({ name, facilityId: null, from: iso(from), to: iso(to) }));
}
