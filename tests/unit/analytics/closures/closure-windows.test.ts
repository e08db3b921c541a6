import { describe, expect, test } from 'vitest';
import {
  closureWindows,
  spareWindows,
  type WindowPattern,
  weekdayOf,
} from '../../../../analytics/closures/closure-windows.ts';
import { dayNumber } from '../../../../analytics/survival/observation-dates.ts';

const nights: WindowPattern = {
  facilityId: 'R1',
  weekdays: [6, 0, 1, 2, 3],
  startMinuteOfDay: 23 * 60,
  lengthMinutes: 360,
  fromDay: dayNumber('2027-05-01'),
  toDay: dayNumber('2027-05-31'),
  mostShiftMinutes: 600,
  shiftStartMinuteOfDay: null,
};

describe('windows from a pattern', () => {
  test('days of the week: 1 January 1970 was a Thursday, 1 May 2027 is a Saturday', () => {
    expect([weekdayOf(0), weekdayOf(dayNumber('2027-05-01')), weekdayOf(-1)]).toEqual([3, 5, 2]);
  });

  test('nights from Sunday to Thursday of May 2027 are 22, and the spare ones the 9 others', () => {
    // By the calendar: May 2027 has 5 Sundays and 5 Mondays, 4 each of Tuesday to Thursday, 4 Fridays, 5 Saturdays.
    expect(closureWindows(nights)).toHaveLength(22);
    expect(spareWindows(nights)).toHaveLength(9);
  });

  test('a night is one shift and is named by facility, start and length', () => {
    const [first] = closureWindows(nights);
    expect(first.id).toBe('R1@2027-05-02T2300+360');
    expect(first.shifts).toEqual([{ startMinute: first.startMinute, endMinute: first.endMinute }]);
  });

  test('a weekend from Friday 20:00 to Monday 06:00 holds three shifts, by default a day apart', () => {
    const weekend = { ...nights, weekdays: [4], startMinuteOfDay: 1200, lengthMinutes: 3480 };
    const [{ startMinute, shifts }] = closureWindows(weekend);
    expect(shifts.map((shift) => (shift.startMinute - startMinute) / 60)).toEqual([0, 24, 48]);
    const [day] = closureWindows({ ...weekend, shiftStartMinuteOfDay: 7 * 60 });
    expect(day.shifts.map((shift) => (shift.startMinute - day.startMinute) / 60)).toEqual([11, 35]);
  });

  test('the caller says where the clock changes', () => {
    const [change] = closureWindows(nights, () => 60);
    expect(change.clockChangeMinutes).toBe(60);
  });

  test('a pattern out of range is refused by field', () => {
    expect(() => closureWindows({ ...nights, startMinuteOfDay: 1440 })).toThrow('startMinuteOfDay is 1440');
    expect(() => closureWindows({ ...nights, weekdays: [7] })).toThrow('weekdays is 7');
    expect(() => closureWindows({ ...nights, lengthMinutes: 0 })).toThrow('lengthMinutes is 0');
  });
});
