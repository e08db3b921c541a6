import type { PlannedClosure, PlannedTask, ScheduleScore } from './closure-plan.ts';
import { isFree } from './crew-groups.ts';
import type { CrewShift, LaidTask } from './lay-work.ts';
import type { PackingIndex } from './packing-index.ts';
import type { FacilityPlan } from './packing-state.ts';

/** Closures of a schedule in the making, crews named, by start and then facility. Reserve windows are found later. */
export function plannedClosures(index: PackingIndex, plans: readonly (FacilityPlan | null)[]): PlannedClosure[] {
  const tasks = new Map<number, PlannedTask[]>();
  const closedFor = new Map<number, Set<string>>();
  const crews = namedCrews(index, plans);
  for (const plan of plans) {
    if (!plan) continue;
    for (const slot of plan.slots) tasks.set(slot, tasks.get(slot) ?? []);
    for (const slot of plan.supports) {
      const needing = closedFor.get(slot) ?? new Set();
      closedFor.set(slot, needing.add(index.facilities[plan.facility].id));
    }
    plan.crewShifts.forEach((crewShift, c) => {
      const { slot } = index.shifts[crewShift.shift];
      const own = plan.laid.tasks.filter((task) => task.crewShift === c);
      tasks.get(slot)?.push(...timedTasks(index, crewShift, own, crews.get(crewShift) as string));
    });
  }
  const slots = new Set([...tasks.keys(), ...closedFor.keys()]);
  return [...slots]
    .sort((a, b) => a - b)
    .map((slot) => closureIn(index, slot, tasks.get(slot) ?? [], [...(closedFor.get(slot) ?? [])]));
}

function closureIn(
  index: PackingIndex,
  slot: number,
  tasks: readonly PlannedTask[],
  closedFor: readonly string[],
): PlannedClosure {
  const { window } = index.slots[slot];
  const { id, facilityId, startMinute, endMinute, shifts } = window;
  const inOrder = [...tasks].sort(
    (a, b) => a.shift - b.shift || a.startMinute - b.startMinute || (a.crewId < b.crewId ? -1 : 1),
  );
  return {
    id,
    windowId: id,
    facilityId,
    startMinute,
    endMinute,
    shifts,
    tasks: inOrder,
    closedFor: [...closedFor].sort(),
    openMinute: openMinute(index, slot, inOrder),
    reserve: null,
  };
}

/** When traffic may run: the last seal is tack-free and the crews have cleared away. A closure for others ends as planned. */
function openMinute(index: PackingIndex, slot: number, tasks: readonly PlannedTask[]): number {
  const { window, facility } = index.slots[slot];
  const { clearAwayMinutes } = index.facilities[facility];
  if (tasks.length === 0) return window.endMinute;
  return tasks.reduce((latest, task) => {
    const block = index.problem.blocks.find(({ id }) => id === task.blockId);
    const opening = block?.passes[task.pass].openingMinutes ?? 0;
    return Math.max(latest, task.endMinute + Math.max(clearAwayMinutes, opening));
  }, window.startMinute);
}

/** Tasks of one crew in one shift with their times: what must end sooner is done first. */
function timedTasks(
  index: PackingIndex,
  { shift }: CrewShift,
  tasks: readonly LaidTask[],
  crewId: string,
): PlannedTask[] {
  const { workStartMinute, number } = index.shifts[shift];
  let clock = workStartMinute;
  return [...tasks]
    .sort((a, b) => a.netMinutes - b.netMinutes)
    .map((task) => {
      const { block, metresBefore } = index.blocks[task.block];
      const startMinute = clock;
      clock += task.minutes;
      return {
        blockId: block.id,
        pass: task.pass,
        crewId,
        shift: number,
        pieceIds: block.pieces.slice(task.from, task.to).map(({ id }) => id),
        lengthM: metresBefore[task.to] - metresBefore[task.from],
        startMinute,
        endMinute: clock + block.passes[task.pass].insideWaitMinutes,
      };
    });
}

/** Gives each crew-shift a crew of its group that is free then and rested, by start; the one that worked last is preferred. */
function namedCrews(index: PackingIndex, plans: readonly (FacilityPlan | null)[]): Map<CrewShift, string> {
  const all = plans.flatMap((plan) => (plan ? plan.crewShifts.map((crewShift) => ({ crewShift, plan })) : []));
  const { shifts, problem } = index;
  all.sort(
    (a, b) =>
      shifts[a.crewShift.shift].startMinute - shifts[b.crewShift.shift].startMinute ||
      a.plan.facility - b.plan.facility,
  );
  const names = new Map<CrewShift, string>();
  const freeFrom = new Map<string, number>();
  const lastAt = new Map<string, number>();
  for (const { crewShift, plan } of all) {
    const shift = shifts[crewShift.shift];
    const free = index.groups[crewShift.group].crewIds.filter((id) => {
      const crew = problem.crews.find((candidate) => candidate.id === id);
      return (
        crew && (freeFrom.get(id) ?? Number.NEGATIVE_INFINITY) <= shift.startMinute && isFree(problem, crew, shift)
      );
    });
    const crewId = free.find((id) => lastAt.get(id) === plan.facility) ?? free[0];
    if (crewId === undefined) throw new Error('A crew-shift has no free crew: the state counted wrongly');
    names.set(crewShift, crewId);
    freeFrom.set(crewId, shift.endMinute + problem.rules.restMinutes);
    lastAt.set(crewId, plan.facility);
  }
  return names;
}

/** What a schedule comes to, summed anew. */
export function scoreOf(index: PackingIndex, plans: readonly (FacilityPlan | null)[]): ScheduleScore {
  const slots = new Set<number>();
  let [placedWeight, placedM, crewShifts] = [0, 0, 0];
  for (const plan of plans) {
    if (!plan) continue;
    for (const slot of [...plan.slots, ...plan.supports]) slots.add(slot);
    crewShifts += plan.crewShifts.length;
    index.blocksOf[plan.facility].forEach((b, i) => {
      const { block, metresBefore } = index.blocks[b];
      placedM += metresBefore[plan.laid.done[i]];
      placedWeight += block.weightPerM * metresBefore[plan.laid.done[i]];
    });
  }
  const closures = [...slots].reduce((sum, slot) => sum + index.slots[slot].cost, 0);
  return {
    placedWeight,
    placedM,
    cost: closures + crewShifts * index.problem.rules.crewShiftCost,
    closures: slots.size,
    crewShifts,
  };
}
