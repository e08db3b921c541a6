import type { BarredPeriod, ClosureWindow, PlanFacility } from '../../analytics/closures/closure-plan.ts';
import { closureWindows, spareWindows, type WindowPattern } from '../../analytics/closures/closure-windows.ts';
import type { WeatherGate } from '../../analytics/closures/weather-gates.ts';
import { dayNumber } from '../../analytics/survival/observation-dates.ts';
import { type ClosureRules, WEEKDAYS, type WindowRule } from '../schemas/closure-rules.ts';
import type { Facility } from '../schemas/facility.ts';
import { type ClosingUnit, unitName } from './closing-unit.ts';
import { clockChangeIn, clockMinutes, dayStart } from './local-time.ts';
import type { PlanWeather } from './plan-weather.ts';

const MINUTES_PER_DAY = 1440;

type Closing = Pick<ClosingUnit, 'id' | 'facility' | 'direction'>;

export const ruleFits = ({ facilityIds, facilityKinds }: WindowRule, { id, kind }: Facility): boolean =>
  facilityIds.includes(id) || facilityKinds.includes(kind) || (facilityIds.length === 0 && facilityKinds.length === 0);

/** Whether a window is for what closes: one for some directions is not for a road that closes in another. */
export const unitFits = (rule: WindowRule, { facility, direction }: Closing): boolean =>
  ruleFits(rule, facility) && (direction === null || !rule.directions?.length || rule.directions.includes(direction));

const patternOf = (rule: WindowRule, facilityId: string): WindowPattern => ({
  facilityId,
  weekdays: rule.weekdays.map((weekday) => WEEKDAYS.indexOf(weekday)),
  startMinuteOfDay: clockMinutes(rule.startsAt),
  lengthMinutes: Math.round(rule.lengthHours * 60),
  fromDay: dayNumber(rule.from),
  toDay: dayNumber(rule.to),
  mostShiftMinutes: Math.round(rule.mostShiftHours * 60),
  shiftStartMinuteOfDay: rule.shiftStartsAt === null ? null : clockMinutes(rule.shiftStartsAt),
});

/** Windows that the rules give to what closes, each once, by start; weather not yet judged. */
export function windowsOf(rules: ClosureRules, unit: Closing, spare = false): ClosureWindow[] {
  const change = clockChangeIn(rules.timeZone);
  const made = spare ? spareWindows : closureWindows;
  const found = new Map<string, ClosureWindow>();
  for (const rule of rules.windows)
    if (unitFits(rule, unit)) for (const window of made(patternOf(rule, unit.id), change)) found.set(window.id, window);
  return [...found.values()].sort((a, b) => a.startMinute - b.startMinute || a.endMinute - b.endMinute);
}

/** The same windows, of one facility, with the chance of workable weather under each gate. */
export const withWeather = (
  windows: readonly ClosureWindow[],
  { facility }: Pick<ClosingUnit, 'facility'>,
  gates: readonly WeatherGate[],
  weather: PlanWeather,
): ClosureWindow[] =>
  windows.map((window) => {
    const chanceByGate: Record<string, number> = {};
    for (const gate of gates) {
      const chance = weather.chance(facility.id, gate, hoursOf(window), startDay(window));
      if (chance !== null) chanceByGate[gate.id] = chance;
    }
    return { ...window, chanceByGate };
  });

const startDay = ({ shifts }: ClosureWindow): number => Math.floor(shifts[0].startMinute / MINUTES_PER_DAY);

/** A window of several shifts is judged by its first. */
function hoursOf({ shifts }: ClosureWindow) {
  const [{ startMinute, endMinute }] = shifts;
  return {
    startMinuteOfDay: startMinute - startDay({ shifts } as ClosureWindow) * MINUTES_PER_DAY,
    lengthMinutes: endMinute - startMinute,
  };
}

export const barredPeriods = ({ barred }: ClosureRules): BarredPeriod[] =>
  barred.map(({ name, facilityId, from, to }) => ({
    ...{ name, facilityId, startMinute: dayStart(from), endMinute: dayStart(to) + MINUTES_PER_DAY },
  }));

/** What a closure of a kind of facility counts beside the others: common practice, a runway hurts most. */
const CLOSURE_COST: Readonly<Record<Facility['kind'], number>> = {
  runway: 5,
  bridge: 2,
  highway: 1.5,
  taxiway: 1.5,
  apron: 1,
};

/** @param planningDate ISO day from which notice counts */
export function planFacility(rules: ClosureRules, unit: ClosingUnit, planningDate: string): PlanFacility {
  const noticed = dayStart(planningDate) + rules.noticeDays * MINUTES_PER_DAY;
  return {
    ...{ id: unit.id, name: unitName(unit), closureCost: CLOSURE_COST[unit.facility.kind] },
    setUpMinutes: rules.setUpMinutes,
    clearAwayMinutes: rules.clearAwayMinutes,
    mostCrews: rules.crewsAtOnce,
    earliestMinute: rules.earliestOn === null ? noticed : Math.max(noticed, dayStart(rules.earliestOn)),
    latestMinute: rules.latestOn === null ? null : dayStart(rules.latestOn) + MINUTES_PER_DAY,
  };
}
