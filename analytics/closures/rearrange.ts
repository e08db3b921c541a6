import { solveMixedInteger, type Term } from '../numeric/mixed-integer.ts';
import { Chosen } from './chosen-slots.ts';
import { type ClosureMaster, closureMaster } from './closure-master.ts';
import type { CrewShift } from './lay-work.ts';
import type { PackingIndex } from './packing-index.ts';
import { type FacilityPlan, PackingState } from './packing-state.ts';
import { type SlotGroups, slotGroups } from './slot-groups.ts';

export interface Rearrangement {
  /** Whether a facility is planned anew; the others keep their closures. */ readonly isFree: (
    facility: number,
  ) => boolean;
  /** Slots that may be closed, beside those of the schedule at hand. */ readonly mayUse: (slot: number) => boolean;
  /** Weight to be placed in all. */ readonly weight: number;
  /** What a unit of weight less counts. */ readonly leftOutCost: number;
  readonly gapShare: number;
  readonly iterations: number;
  readonly stop: () => boolean;
}

/** More slots than this are not arranged together. */
const MOST_SLOTS = 4000;

/**
 * Plans some facilities anew all at once: which closures, with how many crews, is solved slot by slot with work as a fluid;
 * then whole pieces are laid into them. What pieces leave over is for others to place. Answers a state of its own; null where
 * the plan is too large or no solution was found in time.
 */
export async function rearranged(state: PackingState, wanted: Rearrangement): Promise<PackingState | null> {
  const { index } = state;
  if (index.slots.length > MOST_SLOTS) return null;
  const groups = slotGroups(index, 0);
  const master = closureMaster(index, groups, { kind: 'least-cost', weight: 0 });
  addTarget(master, index, wanted);
  groups.groups.forEach(({ facility, slots }, g) => {
    if (wanted.isFree(facility)) limitSlot(master, g, wanted.mayUse(slots[0]) || state.isClosed(slots[0]));
    else fixSlot(master, g, state);
  });
  fixPlaced(master, state, wanted);
  const { gapShare, iterations, stop } = wanted;
  const { values } = await solveMixedInteger(master.model, { gapShare, iterations, stop });
  return values && rebuilt(state, wanted, { master, groups, values });
}

function addTarget(
  { model, placedColumn }: ClosureMaster,
  index: PackingIndex,
  { weight, leftOutCost }: Rearrangement,
) {
  const leftOut = model.addColumn({ cost: leftOutCost, lower: 0, upper: weight, integer: false });
  const placed = index.blocks.map(({ block }, b): Term => [placedColumn[b], block.weightPerM]);
  model.atLeast(weight, [[leftOut, 1], ...placed]);
}

function limitSlot({ model, closureColumn, crewColumns }: ClosureMaster, g: number, usable: boolean): void {
  if (usable) return;
  for (const column of [closureColumn[g], ...crewColumns[g].flat(2)]) model.upper[column] = 0;
}

/** Keeps what a facility has in a slot; it may still be closed for others. */
function fixSlot({ model, closureColumn, crewColumns }: ClosureMaster, g: number, state: PackingState): void {
  const { index } = state;
  const slot = index.slots[g];
  const crewShifts = state.plans[slot.facility]?.crewShifts ?? [];
  if (state.isClosed(slot.index)) model.lower[closureColumn[g]] = 1;
  crewColumns[g].forEach((byGroup, number) => {
    byGroup.forEach((columns, group) => {
      const used = crewShifts.filter((c) => c.shift === slot.shiftFrom + number && c.group === group).length;
      columns.forEach((column, k) => {
        if (k < used) model.lower[column] = 1;
        else model.upper[column] = 0;
      });
    });
  });
}

function fixPlaced({ model, placedColumn }: ClosureMaster, { index, plans }: PackingState, { isFree }: Rearrangement) {
  plans.forEach((plan, facility) => {
    if (isFree(facility)) return;
    index.blocksOf[facility].forEach((b, i) => {
      model.upper[placedColumn[b]] = index.blocks[b].metresBefore[plan?.laid.done[i] ?? 0];
    });
  });
}

interface Solved {
  readonly master: ClosureMaster;
  readonly groups: SlotGroups;
  readonly values: Float64Array;
}

function rebuilt(state: PackingState, { isFree }: Rearrangement, solved: Solved): PackingState {
  const { index } = state;
  const next = new PackingState(index);
  const closed = index.slots.filter((_, g) => solved.values[solved.master.closureColumn[g]] > 0.5);
  for (const plan of state.plans) if (plan && !isFree(plan.facility)) next.apply(plan);
  index.facilities.forEach((_, facility) => {
    if (!isFree(facility)) return;
    const plan = planOf(next, facility, solved, closed);
    if (plan) next.apply(plan);
  });
  return next;
}

function planOf(
  state: PackingState,
  facility: number,
  { master, groups, values }: Solved,
  closed: PackingIndex['slots'],
): FacilityPlan | null {
  const { index } = state;
  const crewShifts = groups.ofFacility[facility].flatMap((g) =>
    master.crewColumns[g].flatMap((byGroup, number) =>
      byGroup.flatMap((columns, group) =>
        columns.flatMap((column): CrewShift[] =>
          values[column] > 0.5 ? [{ shift: index.slots[g].shiftFrom + number, group }] : [],
        ),
      ),
    ),
  );
  if (crewShifts.length === 0) return null;
  const chosen = new Chosen(state, facility, crewShifts);
  for (const slot of closed) if (slot.facility !== facility) chosen.supports.add(slot.index);
  return chosen.weight() > 0 ? chosen.plan() : null;
}
