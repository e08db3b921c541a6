import type { PackingProblem, PlanCrew, Shift } from './closure-plan.ts';

/** Crews that are alike in all that packing asks of them. */
export interface CrewGroup {
  readonly crewIds: readonly string[];
  /** By block and pass, minutes for one metre; NaN where the crews cannot do it. */
  readonly minutesPerM: readonly Float64Array[];
}

/** Crews with the same paces and days off form a group; one with work in a fixed closure stands by itself. */
export function crewGroups(problem: PackingProblem): CrewGroup[] {
  const busy = new Set(problem.fixed.flatMap(({ tasks }) => tasks.map(({ crewId }) => crewId)));
  const groups = new Map<string, string[]>();
  for (const crew of problem.crews) {
    const paces = problem.blocks.map(({ passes }) => passes.map(({ minutesPerM }) => minutesPerM[crew.id] ?? null));
    const key = JSON.stringify([paces, crew.unavailable, busy.has(crew.id) ? crew.id : null]);
    groups.set(key, [...(groups.get(key) ?? []), crew.id]);
  }
  return [...groups.values()].map((crewIds) => ({
    crewIds,
    minutesPerM: problem.blocks.map(({ passes }) =>
      Float64Array.from(passes, ({ minutesPerM }) => minutesPerM[crewIds[0]] ?? Number.NaN),
    ),
  }));
}

/** Crews of each group that are free of days off and fixed work in a shift, with their rest before and after. */
export function crewsFreeIn(problem: PackingProblem, groups: readonly CrewGroup[], shift: Shift): Int16Array {
  return Int16Array.from(groups, ({ crewIds }) =>
    crewIds.reduce((sum, id) => {
      const crew = problem.crews.find((candidate) => candidate.id === id) as PlanCrew;
      return sum + Number(isFree(problem, crew, shift));
    }, 0),
  );
}

/** Whether a crew may work in a shift as far as days off and fixed closures go. */
export function isFree(problem: PackingProblem, crew: PlanCrew, shift: Shift): boolean {
  if (crew.unavailable.some((off) => off.startMinute < shift.endMinute && shift.startMinute < off.endMinute))
    return false;
  const { restMinutes } = problem.rules;
  return !problem.fixed.some((closure) =>
    closure.tasks.some((task) => {
      if (task.crewId !== crew.id) return false;
      const { startMinute, endMinute } = closure.shifts[task.shift];
      return startMinute - restMinutes < shift.endMinute && shift.startMinute < endMinute + restMinutes;
    }),
  );
}
