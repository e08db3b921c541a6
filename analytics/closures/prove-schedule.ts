import { solveMixedInteger } from '../numeric/mixed-integer.ts';
import { exactModel, exactPlans, fitsExact } from './closure-exact.ts';
import { closureMaster, type MasterGoal } from './closure-master.ts';
import type { Quota } from './insert-facility.ts';
import type { PackingIndex } from './packing-index.ts';
import type { FacilityPlan, PackingState } from './packing-state.ts';
import { type SlotGroups, slotGroups } from './slot-groups.ts';

export interface ProofRequest {
  readonly index: PackingIndex;
  /** Slots by facility and period, as fine as bounds are to be. */ readonly groups: SlotGroups;
  /** Changed only by `proveExactly`. */ readonly state: PackingState;
  readonly gapShare: number;
  readonly iterations: number;
  readonly stop: () => boolean;
}

const SURE = 1e-9;

/**
 * Solves a small plan piece by piece, first for the most work, then for the least cost of that much, and puts the result
 * into the state. Answers false when the plan is too large or the proof did not come to its end.
 */
export async function proveExactly(request: ProofRequest): Promise<boolean> {
  const { index, state } = request;
  if (!fitsExact(index)) return false;
  const groups = slotGroups(index, 0);
  const solve = async (goal: MasterGoal) => {
    const exact = exactModel(index, groups, goal);
    const search = { gapShare: 0, iterations: request.iterations, stop: request.stop };
    const answer = await solveMixedInteger(exact.model, search);
    return answer.status === 'optimal' && answer.values ? exactPlans(index, groups, exact, answer.values) : null;
  };
  if (state.weight < index.totalWeight * (1 - SURE)) {
    const most = await solve({ kind: 'most-work' });
    if (!most) return false;
    take(state, most);
  }
  if (state.weight > 0) {
    const least = await solve({ kind: 'least-cost', weight: state.weight });
    if (!least) return false;
    take(state, least);
  }
  return true;
}

function take(state: PackingState, plans: readonly (FacilityPlan | null)[]): void {
  for (const [facility] of plans.entries()) state.remove(facility);
  for (const plan of plans) if (plan) state.apply(plan);
}

/** Slot groups at most in a master: more make it slow. */
const MOST_GROUPS = 700;
const PERIOD_DAYS = [0, 7, 14, 28, 56, 112, 224];

/** No schedule places more weight than this; ends early where the state is shown to be within the gap. */
export async function proveMostWork(request: ProofRequest, mostPlaceable: number): Promise<number> {
  const { state, gapShare } = request;
  if (state.weight >= mostPlaceable * (1 - SURE)) return mostPlaceable;
  const isNear = (now: number) => -now <= state.weight * (1 + gapShare / 10);
  const { bound } = await solveFluid(request, { kind: 'most-work' }, isNear);
  return Number.isFinite(bound) ? Math.min(mostPlaceable, -bound) : mostPlaceable;
}

/** What is known of schedules that place a weight at least. */
export interface CostBound {
  readonly weight: number;
  /** None of them costs less. */ readonly leastCost: number;
  /** Closures by group of slots in the best fluid schedule, to guide the search. */ readonly quota: Quota | null;
}

/** Bound from the schedule with work as a fluid; ends early where it shows the state, if it places as much, to be within the gap. */
export async function proveLeastCost(request: ProofRequest, weight: number): Promise<CostBound> {
  const { state, gapShare } = request;
  const goal: MasterGoal = { kind: 'least-cost', weight: weight * (1 - SURE) };
  const places = state.weight >= goal.weight;
  const isNear = (now: number) => places && now >= state.cost * (1 - gapShare);
  const { bound, quota } = await solveFluid(request, goal, isNear);
  return { weight, leastCost: Math.max(0, bound), quota };
}

async function solveFluid(
  { index, groups, iterations, stop }: ProofRequest,
  goal: MasterGoal,
  enough: (bound: number) => boolean,
): Promise<{ bound: number; quota: Quota | null }> {
  const master = closureMaster(index, groups, goal);
  const search = { gapShare: 0.002, iterations, stop: ({ bound }: { bound: number }) => stop() || enough(bound) };
  const { bound, values } = await solveMixedInteger(master.model, search);
  if (!values) return { bound, quota: null };
  const closures = Float64Array.from(master.closureColumn, (column) => Math.round(values[column]));
  return { bound, quota: { groupOfSlot: groups.groupOfSlot, closures } };
}

/** Slots at most for which bounds are told slot by slot where periods are too coarse. */
const MOST_SLOTS = 4000;

/** Slot by slot; null where that makes too much of a master, or is what the groups are already. */
export const finerGroups = (index: PackingIndex, groups: SlotGroups): SlotGroups | null =>
  groups.exact || index.slots.length > MOST_SLOTS ? null : slotGroups(index, 0);

/** The shortest periods that keep the master small. */
export function groupsFor(index: PackingIndex): SlotGroups {
  for (const days of PERIOD_DAYS) {
    if (days === 0 && index.slots.length > MOST_GROUPS / 2) continue;
    const groups = slotGroups(index, days);
    if (groups.groups.length <= MOST_GROUPS) return groups;
  }
  return slotGroups(index, PERIOD_DAYS[PERIOD_DAYS.length - 1]);
}
