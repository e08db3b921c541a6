import { describe, expect, test } from 'vitest';
import { civilFromDays, dayNumber, daysBetween, isoDay } from '../../../../analytics/survival/observation-dates.ts';

describe('day numbers', () => {
  test('agree with the calendar of the platform on every day of 1896 to 2104', () => {
    const first = Date.UTC(1896, 0, 1) / 86_400_000;
    const last = Date.UTC(2104, 11, 31) / 86_400_000;
    for (let day = first; day <= last; day++) {
      const iso = new Date(day * 86_400_000).toISOString().slice(0, 10);
      if (isoDay(day) !== iso || dayNumber(iso) !== day) expect([isoDay(day), dayNumber(iso)]).toEqual([iso, day]);
    }
    expect(civilFromDays(0)).toEqual({ year: 1970, month: 1, day: 1 });
  });

  test('a leap day counts: 29 February 2000 exists, 1900 has none', () => {
    expect(daysBetween('2000-02-28', '2000-03-01')).toBe(2);
    expect(daysBetween('1900-02-28', '1900-03-01')).toBe(1);
    expect(() => dayNumber('1900-02-29')).toThrow(/1900-02-29/);
  });

  test.each(['2020-13-01', '2020-00-10', '2020-04-31', '20200401', '', '2020-4-1'])('%s is refused by name', (text) => {
    expect(() => dayNumber(text)).toThrow(RangeError);
  });
});
