import { describe, expect, test } from 'vitest';
import { closureWindows } from '../../../../analytics/closures/closure-windows.ts';
import { dayNumber } from '../../../../analytics/survival/observation-dates.ts';
import { changeWords } from '../../../../server/closures/change-words.ts';

const windows = (first: string, count: number, clock = 23 * 60, lengthMinutes = 360) =>
  closureWindows({
    ...{ facilityId: 'F', weekdays: [0, 1, 2, 3, 4, 5, 6], startMinuteOfDay: clock, lengthMinutes },
    ...{ fromDay: dayNumber(first), toDay: dayNumber(first) + count - 1, mostShiftMinutes: 600 },
    shiftStartMinuteOfDay: null,
  });

describe('a change in words', () => {
  test('counts nights, days or windows, and names their months, with the year where there are two', () => {
    expect(changeWords({ kind: 'spare' }, windows('2027-05-03', 2))).toMatch(/^Two more nights in May, on days/);
    expect(changeWords({ kind: 'spare' }, windows('2027-05-31', 1))).toMatch(/^One more night in May,/);
    expect(changeWords({ kind: 'past-dates' }, windows('2027-05-30', 12, 7 * 60))).toBe(
      '12 more days in May and June, outside the dates of the rules.',
    );
    expect(changeWords({ kind: 'spare' }, windows('2027-12-31', 2, 20 * 60, 3000))).toMatch(
      /^Two more windows in December 2027 and January 2028,/,
    );
    expect(changeWords({ kind: 'spare' }, [])).toMatch(/^No change of the rules: lock/);
  });

  test('names crews, hours, chances and barred times', () => {
    expect(changeWords({ kind: 'crew', like: 'Crew 1', atOnce: false }, [])).toBe('One more crew, like Crew 1.');
    expect(changeWords({ kind: 'longer', hours: 2 }, [])).toBe('Windows longer by two hours.');
    expect(changeWords({ kind: 'less-chance', chance: 0.2 }, [])).toMatch(/down to 20 %\.$/);
    expect(changeWords({ kind: 'barred-lifted', name: 'the air show' }, [])).toBe(
      'Closing in the air show, which is barred.',
    );
  });
});
