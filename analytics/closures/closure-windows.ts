import { isoDay } from '../survival/observation-dates.ts';
import { type ClosureWindow, MINUTES_PER_DAY, type Shift } from './closure-plan.ts';

/** Windows that come back on some days of the week: nights, days, weekends. */
export interface WindowPattern {
  readonly facilityId: string;
  /** Days on which a window starts: 0 is Monday, 6 is Sunday. */ readonly weekdays: readonly number[];
  /** On the local clock, min after midnight, 0 to 1439. */ readonly startMinuteOfDay: number;
  /** 360 for 23:00 to 05:00, 3480 for Friday 20:00 to Monday 06:00. */ readonly lengthMinutes: number;
  /** First and last day number on which a window may start. */ readonly fromDay: number;
  readonly toDay: number;
  /** Longest shift of a crew in 24 h, min. */ readonly mostShiftMinutes: number;
  /** Where a window holds several shifts: when they start; null: with the window, every 24 h. */
  readonly shiftStartMinuteOfDay: number | null;
}

/** Minutes by which the local clock is put back (+) or forward (-) between two civil minutes; the caller knows the zone. */
export type ClockChange = (startMinute: number, endMinute: number) => number;

/** 0 is Monday, 6 is Sunday. */
export const weekdayOf = (dayNumber: number): number => (((dayNumber + 3) % 7) + 7) % 7;

/** @throws RangeError naming the field that is out of range */
export function closureWindows(pattern: WindowPattern, clockChange: ClockChange = () => 0): ClosureWindow[] {
  checkPattern(pattern);
  const windows: ClosureWindow[] = [];
  for (let day = pattern.fromDay; day <= pattern.toDay; day++)
    if (pattern.weekdays.includes(weekdayOf(day))) windows.push(windowOn(day, pattern, clockChange));
  return windows;
}

/** The same hours on the days of the week that a pattern leaves out: what an operator could add. */
export function spareWindows(pattern: WindowPattern, clockChange: ClockChange = () => 0): ClosureWindow[] {
  const weekdays = [0, 1, 2, 3, 4, 5, 6].filter((weekday) => !pattern.weekdays.includes(weekday));
  return closureWindows({ ...pattern, weekdays }, clockChange);
}

function windowOn(day: number, pattern: WindowPattern, clockChange: ClockChange): ClosureWindow {
  const startMinute = day * MINUTES_PER_DAY + pattern.startMinuteOfDay;
  const endMinute = startMinute + pattern.lengthMinutes;
  return {
    id: windowId(pattern.facilityId, startMinute, endMinute),
    facilityId: pattern.facilityId,
    startMinute,
    endMinute,
    shifts: shiftsIn(startMinute, endMinute, pattern),
    clockChangeMinutes: clockChange(startMinute, endMinute),
    chanceByGate: {},
  };
}

/** The same window has the same name in every schedule. */
export function windowId(facilityId: string, startMinute: number, endMinute: number): string {
  const day = Math.floor(startMinute / MINUTES_PER_DAY);
  const clock = startMinute - day * MINUTES_PER_DAY;
  const two = (value: number) => String(value).padStart(2, '0');
  return `${facilityId}@${isoDay(day)}T${two(Math.floor(clock / 60))}${two(clock % 60)}+${endMinute - startMinute}`;
}

/** One shift, or one every 24 h where the window is longer than a shift may be. */
function shiftsIn(startMinute: number, endMinute: number, pattern: WindowPattern): Shift[] {
  const { mostShiftMinutes, shiftStartMinuteOfDay } = pattern;
  if (endMinute - startMinute <= MINUTES_PER_DAY) {
    const start = firstStart(startMinute, endMinute, shiftStartMinuteOfDay);
    return [{ startMinute: start, endMinute: Math.min(endMinute, start + mostShiftMinutes) }];
  }
  const shifts: Shift[] = [];
  const first = firstStart(startMinute, endMinute, shiftStartMinuteOfDay);
  for (let start = first; start < endMinute; start += MINUTES_PER_DAY)
    shifts.push({ startMinute: start, endMinute: Math.min(endMinute, start + mostShiftMinutes) });
  return shifts;
}

function firstStart(startMinute: number, endMinute: number, minuteOfDay: number | null): number {
  if (minuteOfDay === null) return startMinute;
  const sameDay = Math.floor(startMinute / MINUTES_PER_DAY) * MINUTES_PER_DAY + minuteOfDay;
  const next = sameDay >= startMinute ? sameDay : sameDay + MINUTES_PER_DAY;
  return next < endMinute ? next : startMinute;
}

function checkPattern({ startMinuteOfDay, lengthMinutes, mostShiftMinutes, weekdays }: WindowPattern): void {
  const fail = (field: string, found: unknown, expected: string): never => {
    throw new RangeError(`${field} is ${found}; expected ${expected}`);
  };
  if (!(startMinuteOfDay >= 0 && startMinuteOfDay < MINUTES_PER_DAY))
    fail('startMinuteOfDay', startMinuteOfDay, '0 to 1439');
  if (!(lengthMinutes > 0)) fail('lengthMinutes', lengthMinutes, 'above 0');
  if (!(mostShiftMinutes > 0)) fail('mostShiftMinutes', mostShiftMinutes, 'above 0');
  const odd = weekdays.find((weekday) => !(Number.isInteger(weekday) && weekday >= 0 && weekday <= 6));
  if (odd !== undefined) fail('weekdays', odd, 'whole numbers from 0 (Monday) to 6 (Sunday)');
}
