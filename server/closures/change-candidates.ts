import type { ChangeCandidate } from '../../analytics/closures/cheapest-change.ts';
import type { ClosureWindow, PackingProblem } from '../../analytics/closures/closure-plan.ts';
import { dayNumber, isoDay } from '../../analytics/survival/observation-dates.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Facility } from '../schemas/facility.ts';
import type { NamedChange } from './change-words.ts';
import type { ClosingUnit } from './closing-unit.ts';
import type { ClosureGround } from './closure-problem.ts';
import { monthOf } from './local-time.ts';
import { barredPeriods, windowsOf, withWeather } from './plan-windows.ts';

/** What each change counts, in closures of the facility: common practice, to be argued with. */
const COST = {
  spareWindow: 1,
  windowPastDates: 1.25,
  twoCrewsAtOnce: 1.5,
  lessChance: 2,
  barredLifted: 3,
  crew: 4,
  crewAtOnce: 5,
  /** For each closure that the facility has now, each hour. */ hourLonger: 0.25,
} as const;

/** An hour more in each window is asked for in so many at least. */
const LEAST_CLOSURES = 4;
const DAYS_BEFORE = 31;
const DAYS_AFTER = 62;
const HOURS_LONGER = [1, 2, 3];
const CHANCES = [0.25, 0.2, 0.15, 0.1, 0.05];

/** What an operator could allow so that more work of a facility fits, each with what it counts. */
export function changeCandidates(
  ground: ClosureGround,
  unit: ClosingUnit,
  closures: number,
): ChangeCandidate<NamedChange>[] {
  const spare = ground.spare.filter(({ facilityId }) => facilityId === unit.id);
  return [
    ...moreWindows(spare, { kind: 'spare', cost: COST.spareWindow }),
    ...moreWindows(windowsPastDates(ground, unit, spare), { kind: 'past-dates', cost: COST.windowPastDates }),
    ...longerWindows(ground, unit, closures),
    ...lessChance(ground.rules),
    ...liftedBars(ground.rules, unit.facility),
    ...moreCrews(ground.rules, unit),
  ];
}

const AS_IT_IS = (problem: PackingProblem): PackingProblem => problem;

/** By month, and of all months together. */
function moreWindows(
  windows: readonly ClosureWindow[],
  { kind, cost }: { kind: 'spare' | 'past-dates'; cost: number },
): ChangeCandidate<NamedChange>[] {
  const byMonth = new Map<string, ClosureWindow[]>();
  for (const window of windows) {
    const month = monthOf(window.startMinute);
    byMonth.set(month, [...(byMonth.get(month) ?? []), window]);
  }
  const groups = byMonth.size > 1 ? [...byMonth.values(), windows] : [...byMonth.values()];
  return groups.map((group) => ({
    what: { kind },
    windows: group,
    cost: (count) => count * cost,
    apply: kind === 'spare' ? AS_IT_IS : withoutLatest(group),
  }));
}

/** The latest date gives way to the windows asked for. */
const withoutLatest =
  (windows: readonly ClosureWindow[]) =>
  (problem: PackingProblem): PackingProblem => {
    const last = windows.reduce((latest, { endMinute }) => Math.max(latest, endMinute), 0);
    const ids = new Set(windows.map(({ facilityId }) => facilityId));
    const later = (latest: number | null) => (latest === null ? null : Math.max(latest, last));
    const facilities = problem.facilities.map((each) =>
      ids.has(each.id) ? { ...each, latestMinute: later(each.latestMinute) } : each,
    );
    return { ...problem, facilities };
  };

/** The same hours before the first day of the rules and after the last. */
function windowsPastDates(
  { rules, gates, weather, problem }: ClosureGround,
  unit: ClosingUnit,
  spare: readonly ClosureWindow[],
): ClosureWindow[] {
  const shifted = (day: string, by: number) => isoDay(dayNumber(day) + by);
  const windows = rules.windows.map((window) => ({
    ...{ ...window, from: shifted(window.from, -DAYS_BEFORE), to: shifted(window.to, DAYS_AFTER) },
  }));
  const known = new Set([...problem.windows, ...spare].map(({ id }) => id));
  const wider = windowsOf({ ...rules, windows }, unit).filter(({ id }) => !known.has(id));
  const inside = ({ startMinute }: ClosureWindow) =>
    rules.windows.some(({ from, to }) => {
      const day = isoDay(Math.floor(startMinute / 1440));
      return day >= from && day <= to;
    });
  return withWeather(
    wider.filter((window) => !inside(window)),
    unit,
    gates,
    weather,
  );
}

function longerWindows(
  { rules, gates, weather }: ClosureGround,
  unit: ClosingUnit,
  closures: number,
): ChangeCandidate<NamedChange>[] {
  return HOURS_LONGER.map((hours) => {
    const longer: ClosureRules['windows'] = rules.windows.map((window) => ({
      ...window,
      ...{ lengthHours: window.lengthHours + hours, mostShiftHours: Math.max(window.mostShiftHours, 10) },
    }));
    return {
      what: { kind: 'longer' as const, hours },
      windows: [],
      cost: () => COST.hourLonger * hours * Math.max(LEAST_CLOSURES, closures),
      apply: (problem: PackingProblem) => ({
        ...problem,
        windows: [
          ...problem.windows.filter(({ facilityId }) => facilityId !== unit.id),
          ...withWeather(windowsOf({ ...rules, windows: longer }, unit), unit, gates, weather),
        ],
      }),
    };
  });
}

const lessChance = ({ leastChance }: ClosureRules): ChangeCandidate<NamedChange>[] =>
  CHANCES.filter((chance) => chance < leastChance).map((chance) => ({
    what: { kind: 'less-chance', chance },
    windows: [],
    cost: () => COST.lessChance + 10 * (leastChance - chance),
    apply: (problem) => ({ ...problem, rules: { ...problem.rules, leastChance: chance } }),
  }));

const liftedBars = (rules: ClosureRules, facility: Facility): ChangeCandidate<NamedChange>[] =>
  barredPeriods(rules)
    .filter(({ facilityId }) => facilityId === null || facilityId === facility.id)
    .map(({ name }) => ({
      what: { kind: 'barred-lifted', name },
      windows: [],
      cost: () => COST.barredLifted,
      apply: (problem) => ({ ...problem, barred: problem.barred.filter((each) => each.name !== name) }),
    }));

function moreCrews({ crews }: ClosureRules, { id: facilityId }: ClosingUnit): ChangeCandidate<NamedChange>[] {
  const roomier = (problem: PackingProblem): PackingProblem => ({
    ...problem,
    facilities: problem.facilities.map((each) =>
      each.id === facilityId ? { ...each, mostCrews: each.mostCrews + 1 } : each,
    ),
  });
  const candidates = crews.flatMap(({ id, name }): ChangeCandidate<NamedChange>[] => [
    {
      what: { kind: 'crew', like: name, atOnce: false },
      windows: [],
      cost: () => COST.crew,
      apply: (problem) => withCrewLike(problem, id),
    },
    {
      what: { kind: 'crew', like: name, atOnce: true },
      windows: [],
      cost: () => COST.crewAtOnce,
      apply: (problem) => roomier(withCrewLike(problem, id)),
    },
  ]);
  const atOnce: ChangeCandidate<NamedChange> = {
    what: { kind: 'at-once' },
    windows: [],
    cost: () => COST.twoCrewsAtOnce,
    apply: roomier,
  };
  return crews.length > 1 ? [atOnce, ...candidates] : candidates;
}

/** A crew with the pace of another, never away. */
function withCrewLike(problem: PackingProblem, crewId: string): PackingProblem {
  const id = `${crewId} again`;
  return {
    ...problem,
    crews: [...problem.crews, { id, name: id, unavailable: [] }],
    blocks: problem.blocks.map((block) => ({
      ...block,
      passes: block.passes.map((pass) =>
        pass.minutesPerM[crewId] === undefined
          ? pass
          : { ...pass, minutesPerM: { ...pass.minutesPerM, [id]: pass.minutesPerM[crewId] } },
      ),
    })),
  };
}
