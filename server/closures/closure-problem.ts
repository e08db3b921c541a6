import {
  type ClosureWindow,
  type PackingProblem,
  type PlannedClosure,
  USUAL_RULES,
  type WindowKey,
} from '../../analytics/closures/closure-plan.ts';
import type { WeatherGate } from '../../analytics/closures/weather-gates.ts';
import { type RefusedJob, workBlocks } from '../../analytics/closures/work-blocks.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Closure } from '../schemas/closures.ts';
import type { Facility } from '../schemas/facility.ts';
import type { Store } from '../store/store.ts';
import { dayStart, minuteOf } from './local-time.ts';
import { PlanWeather } from './plan-weather.ts';
import { barredPeriods, planFacility, windowsOf, withWeather } from './plan-windows.ts';
import { gatesOf, type PlannedWork, readWorkOfYear, resealJob } from './planned-work.ts';
import { remainingBlocks, settledParts } from './remaining-work.ts';
import { workSettings } from './work-settings.ts';

const MINUTES_PER_DAY = 1440;
/** Where a closure lost to the weather may be made good, at most. */
const RESERVE_WITHIN_DAYS = 60;

/** Everything that a schedule is made from. */
export interface ClosureGround {
  readonly rules: ClosureRules;
  readonly planned: readonly PlannedWork[];
  readonly facilities: ReadonlyMap<string, Facility>;
  readonly gates: readonly WeatherGate[];
  readonly weather: PlanWeather;
  readonly refused: readonly RefusedJob[];
  readonly problem: PackingProblem;
  /** Windows on days that the rules leave out: what an operator could add. */ readonly spare: readonly ClosureWindow[];
}

/** @param settled closures of the schedule before, all of them but cancelled ones */
export async function readClosureGround(
  store: Store,
  rules: ClosureRules,
  { planningDate, before }: { planningDate: string; before: readonly Closure[] },
): Promise<ClosureGround> {
  const { planned, lost } = await readWorkOfYear(store, rules);
  const facilities = await facilitiesOf(store, rules, planned, before);
  const gates = gatesOf(
    rules,
    planned.map(({ work }) => work.sealantClass),
  );
  const weather = await PlanWeather.read(store, facilities.keys(), dryDays(rules));
  const lostWindows = before.filter(({ state }) => state === 'lost');
  const all = [...facilities.values()];
  const windows = all
    .flatMap((facility) => withWeather(windowsOf(rules, facility), gates, weather))
    .filter((window) => !lostWindows.some((lostOne) => sameWindow(window, windowKey(lostOne))));
  const longest = windows.flatMap(({ shifts }) => shifts.map(({ startMinute, endMinute }) => endMinute - startMinute));
  const settings = workSettings(
    rules,
    longest.reduce((most, length) => Math.max(most, length), 0),
  );
  const { blocks, refused } = workBlocks(
    planned.map((work) => resealJob(work, rules)),
    settings,
  );
  const settled = before.flatMap(settledParts);
  const gone = lost.map((segmentId) => ({ segmentId, reason: 'The segment is no longer on record.' }));
  return {
    ...{ rules, planned, facilities, gates, weather, refused: [...refused, ...gone] },
    spare: all.flatMap((facility) => withWeather(windowsOf(rules, facility, true), gates, weather)),
    problem: {
      facilities: all.map((facility) => planFacility(rules, facility, planningDate)),
      windows,
      exclusions: rules.exclusions.filter(({ facilityIds }) => facilityIds.every((id) => facilities.has(id))),
      barred: barredPeriods(rules).filter(({ facilityId }) => facilityId === null || facilities.has(facilityId)),
      crews: planCrews(rules),
      blocks: remainingBlocks(blocks, settled),
      rules: packingRules(rules),
      fixed: before
        .filter((closure) => isFixed(closure) && facilities.has(closure.facilityId))
        .map((closure) => plannedClosure(closure, windows)),
      previous: before.filter((closure) => closure.state === 'planned').map(windowKey),
    },
  };
}

/** A closure that stays as it is when the rest is scheduled anew. */
export const isFixed = ({ state, locked }: Closure): boolean => state === 'done' || (state === 'planned' && locked);

export const dryDays = ({ dryingHours }: ClosureRules): number => Math.floor(dryingHours / 24);

export const packingRules = ({ leastChance, closuresPerReserve }: ClosureRules): PackingProblem['rules'] => ({
  ...USUAL_RULES,
  leastChance,
  reserve: closuresPerReserve === null ? null : { closuresPerReserve, withinDays: RESERVE_WITHIN_DAYS },
});

export const planCrews = ({ crews }: ClosureRules): PackingProblem['crews'] =>
  crews.map(({ id, name, away }) => ({
    ...{ id, name },
    unavailable: away.map(({ from, to }) => ({
      startMinute: dayStart(from),
      endMinute: dayStart(to) + MINUTES_PER_DAY,
    })),
  }));

/** Facilities with work, those that must be closed for it, and those of closures that stay. */
async function facilitiesOf(
  store: Store,
  { safetyAreas }: ClosureRules,
  planned: readonly PlannedWork[],
  before: readonly Closure[],
): Promise<Map<string, Facility>> {
  const ids = new Set(planned.map(({ facility }) => facility.id));
  for (const { facilityId, needsClosed } of safetyAreas) if (ids.has(facilityId)) ids.add(needsClosed);
  for (const closure of before) if (isFixed(closure)) ids.add(closure.facilityId);
  const listed = (await store.listFacilities()).filter(({ id }) => ids.has(id));
  return new Map(listed.map((facility) => [facility.id, facility]));
}

export const windowKey = ({ facilityId, startsAt, endsAt }: Closure): WindowKey => ({
  ...{ facilityId, startMinute: minuteOf(startsAt), endMinute: minuteOf(endsAt) },
});

const sameWindow = (a: WindowKey, b: WindowKey): boolean =>
  a.facilityId === b.facilityId && a.startMinute === b.startMinute && a.endMinute === b.endMinute;

/** A closure that is kept, as the solver sees it: facility and crews busy at those times. */
export function plannedClosure(closure: Closure, windows: readonly ClosureWindow[]): PlannedClosure {
  const key = windowKey(closure);
  const window = windows.find((each) => sameWindow(each, key));
  const shifts = window?.shifts ?? [{ startMinute: key.startMinute, endMinute: key.endMinute }];
  return {
    ...key,
    ...{ id: closure.id, windowId: window?.id ?? closure.id, shifts, closedFor: closure.closedFor },
    tasks: closure.works.map((work) => {
      const [startMinute, endMinute] = [minuteOf(work.startsAt), minuteOf(work.endsAt)];
      const at = shifts.findIndex((shift) => startMinute < shift.endMinute);
      return {
        ...{ blockId: `${closure.id}/${work.segmentId}`, pass: 0, crewId: work.crewId, shift: Math.max(0, at) },
        ...{ pieceIds: [work.segmentId], lengthM: work.lengthM, startMinute, endMinute },
      };
    }),
    openMinute: minuteOf(closure.opensAt),
    reserve: closure.reserve && {
      facilityId: closure.facilityId,
      startMinute: minuteOf(closure.reserve.startsAt),
      endMinute: minuteOf(closure.reserve.endsAt),
    },
  };
}
