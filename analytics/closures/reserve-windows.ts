import type { ClosureWindow, PackingProblem, PlannedClosure, Shift, WindowKey } from './closure-plan.ts';
import { MINUTES_PER_DAY } from './closure-plan.ts';
import { isFree } from './crew-groups.ts';
import { overlap } from './packing-index.ts';
import { whyBarred } from './window-rules.ts';

/**
 * Gives closures with work a window to fall back on: of the same facility, after the closure, with no closure of it or of
 * what it excludes, long enough, and with the crews of the closure free. One window stands for several closures as the rule
 * allows, and is held free for them alone. Earliest closures choose first.
 */
export function withReserves(problem: PackingProblem, closures: readonly PlannedClosure[]): PlannedClosure[] {
  const { reserve } = problem.rules;
  if (!reserve) return [...closures];
  const held: { window: ClosureWindow; crewIds: ReadonlySet<string>; used: number }[] = [];
  return closures.map((closure) => {
    const crewIds = new Set(closure.tasks.map(({ crewId }) => crewId));
    if (crewIds.size === 0) return closure;
    const until = closure.startMinute + reserve.withinDays * MINUTES_PER_DAY;
    const suits = (window: ClosureWindow) =>
      window.startMinute >= closure.endMinute && window.startMinute <= until && isAsLong(window, closure);
    const shared = held.find(
      ({ window, used, crewIds: crews }) =>
        window.facilityId === closure.facilityId &&
        used < reserve.closuresPerReserve &&
        suits(window) &&
        [...crewIds].every((id) => crews.has(id)),
    );
    if (shared) {
      shared.used += 1;
      return { ...closure, reserve: keyOf(shared.window) };
    }
    const window = problem.windows
      .filter((candidate) => candidate.facilityId === closure.facilityId && suits(candidate))
      .sort((a, b) => a.startMinute - b.startMinute)
      .find((candidate) => isFreeWindow(problem, closures, held, candidate, crewIds));
    if (!window) return closure;
    held.push({ window, crewIds, used: 1 });
    return { ...closure, reserve: keyOf(window) };
  });
}

const keyOf = ({ facilityId, startMinute, endMinute }: ClosureWindow): WindowKey => ({
  facilityId,
  startMinute,
  endMinute,
});

/** Shift by shift no shorter, so that the same work fits. */
const isAsLong = (window: ClosureWindow, closure: PlannedClosure): boolean =>
  window.endMinute - window.startMinute >= closure.endMinute - closure.startMinute &&
  window.clockChangeMinutes >= 0 &&
  closure.shifts.every((shift, i) => {
    const other: Shift | undefined = window.shifts[i];
    return other !== undefined && other.endMinute - other.startMinute >= shift.endMinute - shift.startMinute;
  });

function isFreeWindow(
  problem: PackingProblem,
  closures: readonly PlannedClosure[],
  held: readonly { window: ClosureWindow; crewIds: ReadonlySet<string> }[],
  window: ClosureWindow,
  crewIds: ReadonlySet<string>,
): boolean {
  const facility = problem.facilities.find(({ id }) => id === window.facilityId);
  if (!facility || whyBarred(problem, facility, window) !== null) return false;
  const rivals = new Set([
    window.facilityId,
    ...problem.exclusions.flatMap(({ facilityIds: [a, b] }) =>
      a === window.facilityId ? [b] : b === window.facilityId ? [a] : [],
    ),
  ]);
  const taken = [...closures, ...problem.fixed, ...held.map((reserve) => reserve.window)];
  if (taken.some((other) => rivals.has(other.facilityId) && overlap(other, window))) return false;
  const { restMinutes } = problem.rules;
  const tooNear = (a: Shift, b: Shift) =>
    a.startMinute - restMinutes < b.endMinute && b.startMinute < a.endMinute + restMinutes;
  return [...crewIds].every((crewId) => {
    const crew = problem.crews.find(({ id }) => id === crewId);
    const works = closures.flatMap(({ tasks, shifts }) =>
      tasks.flatMap((task) => (task.crewId === crewId ? [shifts[task.shift]] : [])),
    );
    const kept = held.flatMap((reserve) => (reserve.crewIds.has(crewId) ? reserve.window.shifts : []));
    return (
      crew !== undefined &&
      window.shifts.every(
        (shift) => isFree(problem, crew, shift) && ![...works, ...kept].some((other) => tooNear(other, shift)),
      )
    );
  });
}
