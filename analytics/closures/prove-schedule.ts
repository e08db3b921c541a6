import { solveMixedInteger } from '../numeric/mixed-integer.ts';
import { exactModel, exactPlans, fitsExact } from './closure-exact.ts';
import { closureMaster, type MasterGoal } from './closure-master.ts';
import type { Quota } from './insert-facility.ts';
import type { PackingIndex } from './packing-index.ts';
import type { FacilityPlan, PackingState } from './packing-state.ts';
import { type SlotGroups, slotGroups } from './slot-groups.ts';

/** What is known of the best schedule. */
export interface ProvenBounds {
  readonly mostWeight: number;
  /** For as much weight as the schedule at hand places. */ readonly leastCost: number;
  /** The schedule at hand is the best. */ readonly exact: boolean;
  /** Closures by group of slots in the best fluid schedule, to guide the search. */ readonly quota: Quota | null;
}

export interface ProofRequest {
  readonly index: PackingIndex;
  /** Changed only by `proveExactly`. */ readonly state: PackingState;
  readonly gapShare: number;
  readonly iterations: number;
  readonly stop: () => boolean;
}

const SURE = 1e-9;

/**
 * Solves a small plan piece by piece, first for the most work, then for the least cost of that much, and puts the result
 * into the state. Answers null when the plan is too large or the proof did not come to its end.
 */
export async function proveExactly(request: ProofRequest): Promise<ProvenBounds | null> {
  const { index, state } = request;
  if (!fitsExact(index)) return null;
  const groups = slotGroups(index, 0);
  const solve = async (goal: MasterGoal) => {
    const exact = exactModel(index, groups, goal);
    const search = { gapShare: 0, iterations: request.iterations, stop: request.stop };
    const answer = await solveMixedInteger(exact.model, search);
    return answer.status === 'optimal' && answer.values ? exactPlans(index, groups, exact, answer.values) : null;
  };
  if (state.weight < index.totalWeight * (1 - SURE)) {
    const most = await solve({ kind: 'most-work' });
    if (!most) return null;
    take(state, most);
  }
  if (state.weight > 0) {
    const least = await solve({ kind: 'least-cost', weight: state.weight });
    if (!least) return null;
    take(state, least);
  }
  return { mostWeight: state.weight, leastCost: state.cost, exact: true, quota: null };
}

function take(state: PackingState, plans: readonly (FacilityPlan | null)[]): void {
  for (const [facility] of plans.entries()) state.remove(facility);
  for (const plan of plans) if (plan) state.apply(plan);
}

/** Slot groups at most in a master: more make it slow. */
const MOST_GROUPS = 700;
const PERIOD_DAYS = [0, 7, 14, 28, 56, 112, 224];

/** Bounds from the schedule with work as a fluid; ends early where they show the state to be within the gap. */
export async function proveFluid(request: ProofRequest, mostPlaceable: number): Promise<ProvenBounds> {
  const { index, state, gapShare } = request;
  const groups = groupsFor(index);
  let mostWeight = mostPlaceable;
  if (state.weight < mostWeight * (1 - SURE)) {
    const { bound } = await solveFluid(
      request,
      groups,
      { kind: 'most-work' },
      (now) => -now <= state.weight * (1 + gapShare),
    );
    if (Number.isFinite(bound)) mostWeight = Math.min(mostWeight, -bound);
  }
  if (state.weight === 0) return { mostWeight, leastCost: 0, exact: false, quota: null };
  const goal: MasterGoal = { kind: 'least-cost', weight: state.weight * (1 - SURE) };
  const least = await solveFluid(request, groups, goal, (now) => now >= state.cost * (1 - gapShare));
  return { mostWeight, leastCost: Math.max(0, least.bound), exact: false, quota: least.quota };
}

async function solveFluid(
  { index, iterations, stop }: ProofRequest,
  groups: SlotGroups,
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

/** The shortest periods that keep the master small. */
function groupsFor(index: PackingIndex): SlotGroups {
  for (const days of PERIOD_DAYS) {
    if (days === 0 && index.slots.length > MOST_GROUPS / 2) continue;
    const groups = slotGroups(index, days);
    if (groups.groups.length <= MOST_GROUPS) return groups;
  }
  return slotGroups(index, PERIOD_DAYS[PERIOD_DAYS.length - 1]);
}
