import { expect, test } from 'vitest';
import type { Closure } from '../../../../server/schemas/closures.ts';
import {
  addDays,
  byWeek,
  calendarRows,
  closedByDay,
  closesSame,
  isWeekend,
  sharedHead,
  spanDays,
  stepFrom,
  weekOf,
} from '../../../../web/state/closure-calendar.ts';

type Given = Partial<Closure> & Pick<Closure, 'facilityId' | 'startsAt' | 'endsAt'>;
const closureOf = (given: Given): Closure => ({
  id: `${given.facilityId}@${given.startsAt}`,
  uid: `${given.facilityId} ${given.startsAt}`,
  sequence: 0,
  facilityName: given.facilityId,
  facilityKind: 'runway',
  district: 'Plains',
  opensAt: given.endsAt,
  reserve: null,
  state: 'planned',
  locked: false,
  byHand: false,
  closedFor: [],
  works: [],
  operations: [],
  crews: [],
  lengthM: 100,
  doneM: null,
  sealant: [],
  rods: [],
  crewHours: 1,
  weatherChance: null,
  finishChance: null,
  conflicts: [],
  note: '',
  ...given,
});
const night = (facilityId: string, day: string): Closure =>
  closureOf({ facilityId, startsAt: `${day}T23:00`, endsAt: `${addDays(day, 1)}T05:00` });
/** 2026-08-07 is a Friday. */
const weekend = closureOf({ facilityId: 'A', startsAt: '2026-08-07T20:00', endsAt: '2026-08-10T05:00' });

test('weeks begin on Monday and days follow the calendar over months and leap days', () => {
  // By a printed calendar: 3 August 2026 is a Monday, 9 August a Sunday; 2028 is a leap year.
  expect(weekOf('2026-08-09T23:00')).toBe('2026-08-03');
  expect(weekOf('2026-08-03T00:00')).toBe('2026-08-03');
  expect(weekOf('1969-12-31T00:00')).toBe('1969-12-29');
  expect(addDays('2028-02-28', 1)).toBe('2028-02-29');
  expect(['2026-08-07', '2026-08-08', '2026-08-09', '2026-08-10'].map(isWeekend)).toEqual([false, true, true, false]);
});

test('a night is one day long, a weekend from Friday evening to Monday morning three', () => {
  expect(spanDays(night('A', '2026-08-03'))).toBe(1);
  expect(spanDays(weekend)).toBe(3);
});

test('bars that reach over the days shown are cut, and those that lie over one another take lanes of their own', () => {
  const overlapping = closureOf({ facilityId: 'A', startsAt: '2026-08-08T08:00', endsAt: '2026-08-08T18:00' });
  const [row] = calendarRows([weekend, overlapping], { firstDay: '2026-08-03', days: 7 });
  expect(row.closures.map(({ column, span, lane }) => ({ column, span, lane }))).toEqual([
    { column: 4, span: 3, lane: 0 },
    { column: 5, span: 1, lane: 1 },
  ]);
  expect(row.lanes).toBe(2);
  const [next] = calendarRows([weekend], { firstDay: '2026-08-09', days: 7 });
  expect(next.closures[0]).toMatchObject({ column: 0, span: 1 });
  expect(calendarRows([weekend], { firstDay: '2026-09-07', days: 7 })[0].closures).toEqual([]);
});

test('a reserve window of several closures is drawn once', () => {
  const reserve = { startsAt: '2026-08-12T23:00', endsAt: '2026-08-13T05:00' };
  const closures = ['2026-08-03', '2026-08-04'].map((day) => ({ ...night('A', day), reserve }));
  const [row] = calendarRows(closures, { firstDay: '2026-08-03', days: 14 });
  expect(row.reserves).toEqual([{ ...reserve, column: 9, span: 1, lane: 0 }]);
});

test('arrow keys lead along a facility in time and to the nearest day of its neighbours', () => {
  const closures = [
    night('A', '2026-08-03'),
    night('A', '2026-08-20'),
    night('B', '2026-08-05'),
    night('B', '2026-08-19'),
  ];
  const [a1, a2, b1, b2] = closures;
  expect(stepFrom(closures, a1.uid, 'right')).toBe(a2);
  expect(stepFrom(closures, a1.uid, 'left')).toBeNull();
  expect(stepFrom(closures, a2.uid, 'down')).toBe(b2);
  expect(stepFrom(closures, b1.uid, 'up')).toBe(a1);
  expect(stepFrom(closures, b1.uid, 'last')).toBe(b2);
  expect(stepFrom(closures, a1.uid, 'up')).toBeNull();
  expect(stepFrom(closures, 'gone', 'right')).toBeNull();
});

test('closures are listed by week and by the days they last, lost ones on none', () => {
  const lost = { ...night('B', '2026-08-08'), state: 'lost' as const };
  const closures = [night('A', '2026-08-11'), weekend, lost];
  expect(byWeek(closures).map(({ week, closures: own }) => [week, own.length])).toEqual([
    ['2026-08-03', 2],
    ['2026-08-10', 1],
  ]);
  expect(closedByDay(closures).map(({ day }) => day)).toEqual(['2026-08-07', '2026-08-08', '2026-08-09', '2026-08-11']);
});

test('what all names begin with is said once', () => {
  expect(sharedHead(['Central Airport, Runway A', 'Central Airport, Runway B'])).toBe('Central Airport');
  expect(sharedHead(['Central Airport, Runway A', 'Highway 12, km 0 to 4'])).toBe('');
  expect(sharedHead(['Central Airport, Runway A'])).toBe('');
});

test('each direction of a highway has a row, whatever lanes close in it; the whole road has one of its own', () => {
  const part = (direction: 'northbound' | 'both', lanes: number[]): Closure['part'] => ({
    ...{ id: `H|${direction}|${lanes}`, direction, lanes, name: direction },
  });
  const closures = [
    { ...night('H', '2026-08-03'), uid: '1', part: part('northbound', [1]) },
    { ...night('H', '2026-08-03'), uid: '2', part: part('northbound', [2]) },
    { ...night('H', '2026-08-04'), uid: '3', part: part('both', []) },
    { ...night('H', '2026-08-05'), uid: '4' },
  ];
  const rows = calendarRows(closures, { firstDay: '2026-08-03', days: 7 });
  expect(rows.map(({ name, lanes, closures: own }) => [name, lanes, own.map(({ closure }) => closure.uid)])).toEqual([
    ['H', 1, ['4']],
    ['H, both directions', 1, ['3']],
    ['H, northbound', 2, ['1', '2']],
  ]);
  expect(closesSame(closures[0], closures[1])).toBe(false);
  expect(closesSame(closures[0], { ...closures[0], facilityName: 'Road' })).toBe(true);
});
