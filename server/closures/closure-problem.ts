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
import type { Store } from '../store/store.ts';
import {
  type ClosingUnit,
  unitIdOf,
  unitOf,
  unitsByFacility,
  WHOLE_FACILITIES,
  wholeUnit,
  whyNotTogether,
} from './closing-unit.ts';
import { type ClosingWork, closingWorks } from './closing-work.ts';
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
  /** What closes, by id: the facilities of the problem. */ readonly units: ReadonlyMap<string, ClosingUnit>;
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
  const works = closingWorks(planned, rules, await store.closures.readDirections());
  const units = await unitsOf(store, rules, works, before);
  const all = [...units.values()];
  const byFacility = unitsByFacility(all);
  const gates = gatesOf(
    rules,
    planned.map(({ work }) => work.sealantClass),
  );
  const weather = await PlanWeather.read(store, new Set(all.map(({ facility }) => facility.id)), dryDays(rules));
  const lostWindows = before.filter(({ state }) => state === 'lost');
  const windows = all
    .flatMap((unit) => withWeather(windowsOf(rules, unit), unit, gates, weather))
    .filter((window) => !lostWindows.some((lostOne) => sameWindow(window, windowKey(lostOne))));
  const longest = windows.flatMap(({ shifts }) => shifts.map(({ startMinute, endMinute }) => endMinute - startMinute));
  const settings = workSettings(
    rules,
    longest.reduce((most, length) => Math.max(most, length), 0),
  );
  const { blocks, refused } = workBlocks(
    works.map((work) => resealJob(work, rules)),
    settings,
  );
  const settled = before.flatMap(settledParts);
  const gone = lost.map((segmentId) => ({ segmentId, reason: 'The segment is no longer on record.' }));
  return {
    ...{ rules, planned, units, gates, weather, refused: [...refused, ...gone] },
    spare: all.flatMap((unit) => withWeather(windowsOf(rules, unit, true), unit, gates, weather)),
    problem: {
      facilities: all.map((unit) => planFacility(rules, unit, planningDate)),
      windows,
      exclusions: exclusionsOf(rules, byFacility),
      barred: barredPeriods(rules).flatMap((barred) =>
        barred.facilityId === null
          ? [barred]
          : (byFacility.get(barred.facilityId) ?? []).map(({ id }) => ({ ...barred, facilityId: id })),
      ),
      crews: planCrews(rules),
      blocks: remainingBlocks(blocks, settled),
      rules: packingRules(rules),
      fixed: before
        .filter((closure) => isFixed(closure) && units.has(unitIdOf(closure)))
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

/** What closes for work, facilities that must be closed as a whole for it, and what closures that stay have closed. */
async function unitsOf(
  store: Store,
  { safetyAreas }: ClosureRules,
  works: readonly ClosingWork[],
  before: readonly Closure[],
): Promise<Map<string, ClosingUnit>> {
  const facilities = new Map((await store.listFacilities()).map((facility) => [facility.id, facility]));
  const worked = new Map(works.map(({ planned: { facility }, unit }) => [facility.id, unit]));
  const needed = safetyAreas.filter(({ facilityId }) => worked.has(facilityId)).map(({ needsClosed }) => needsClosed);
  const wholly = needed.flatMap((id) => {
    const facility = facilities.get(id);
    return facility ? [wholeUnit(facility, (worked.get(id)?.direction ?? null) === null ? null : 'both')] : [];
  });
  const kept = before.filter(isFixed).flatMap((closure) => {
    const facility = facilities.get(closure.facilityId);
    return facility ? [unitOf(closure, facility)] : [];
  });
  const all = new Map([...kept, ...wholly, ...works.map(({ unit }) => unit)].map((unit) => [unit.id, unit]));
  const order = [...facilities.keys()];
  const place = new Map(order.map((id, i) => [id, i]));
  const at = ({ facility }: ClosingUnit) => place.get(facility.id) ?? order.length;
  const sorted = [...all.values()].sort((a, b) => at(a) - at(b) || (a.id < b.id ? -1 : 1));
  return new Map(sorted.map((unit) => [unit.id, unit]));
}

/** Pairs of facilities of the rules, and parts of one facility that may not be closed together. */
function exclusionsOf(
  { exclusions, parts = WHOLE_FACILITIES }: ClosureRules,
  byFacility: ReadonlyMap<string, readonly ClosingUnit[]>,
): PackingProblem['exclusions'] {
  const pair = (first: ClosingUnit, second: ClosingUnit, reason: string) => ({
    ...{ facilityIds: [first.id, second.id] as const, reason },
  });
  const between = exclusions.flatMap(({ facilityIds: [a, b], reason }) =>
    (byFacility.get(a) ?? []).flatMap((first) =>
      (byFacility.get(b) ?? []).map((second) => pair(first, second, reason)),
    ),
  );
  const within = [...byFacility.values()].flatMap((units) =>
    units.flatMap((first, i) =>
      units.slice(i + 1).flatMap((second) => {
        const reason = whyNotTogether(first, second, parts);
        return reason === null ? [] : [pair(first, second, reason)];
      }),
    ),
  );
  return [...between, ...within];
}

export const windowKey = (closure: Closure): WindowKey => ({
  facilityId: unitIdOf(closure),
  ...{ startMinute: minuteOf(closure.startsAt), endMinute: minuteOf(closure.endsAt) },
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
      facilityId: unitIdOf(closure),
      startMinute: minuteOf(closure.reserve.startsAt),
      endMinute: minuteOf(closure.reserve.endsAt),
    },
  };
}
