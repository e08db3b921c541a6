import { MixedIntegerModel, type Term } from '../numeric/mixed-integer.ts';
import { addClosures, type ClosureColumns } from './closure-columns.ts';
import type { PackingIndex, ShiftItem } from './packing-index.ts';
import { addLags } from './pass-lags.ts';
import type { SlotGroups } from './slot-groups.ts';
import { addWholePieces } from './whole-pieces.ts';

/** `most-work`: as much weight as can be placed. `least-cost`: at least this weight at the least cost. */
export type MasterGoal = { readonly kind: 'most-work' } | { readonly kind: 'least-cost'; readonly weight: number };

/**
 * The schedule with work as a fluid: closures and crews are counted for each group of slots, metres are shared out between
 * them without regard to pieces. It lacks only rules that a schedule keeps as well, so what it proves holds for schedules.
 */
export interface ClosureMaster extends ClosureColumns {
  readonly model: MixedIntegerModel;
  /** By block: metres placed. */ readonly placedColumn: Int32Array;
}

/** Metres of one pass, done by one crew group in one shift of a slot group. */
interface MetreColumn {
  readonly column: number;
  readonly group: number;
  readonly shift: number;
  readonly crew: number;
  readonly item: ShiftItem;
  /** Metres in one slot at most. */ readonly mostInSlot: number;
}

export function closureMaster(index: PackingIndex, slotGroups: SlotGroups, goal: MasterGoal): ClosureMaster {
  const model = new MixedIntegerModel();
  const scored = goal.kind === 'least-cost';
  const { groups } = slotGroups;
  const { closureColumn, crewColumns } = addClosures(model, index, slotGroups, scored);
  const placedColumn = Int32Array.from(index.blocks, ({ block, metresBefore }) =>
    model.addColumn({
      cost: scored ? 0 : -block.weightPerM,
      lower: 0,
      upper: metresBefore[block.pieces.length],
      integer: false,
    }),
  );
  const metres = groups.flatMap((_, g) => addMetres(model, index, slotGroups, g, crewColumns[g]));
  addPlaced(model, index, metres, placedColumn);
  addSafetyAreas(model, index, slotGroups, metres, closureColumn);
  addLags(model, index, slotGroups, metres);
  if (goal.kind === 'least-cost') {
    const terms = index.blocks.map(({ block }, b): Term => [placedColumn[b], block.weightPerM]);
    model.atLeast(goal.weight, terms);
  }
  const columns = { closureColumn, crewColumns, placedColumn };
  const allPlaced = goal.kind === 'least-cost' && goal.weight >= index.totalWeight * (1 - 1e-7);
  addWholePieces(model, index, slotGroups, columns, allPlaced);
  return { model, ...columns };
}

function addMetres(
  model: MixedIntegerModel,
  index: PackingIndex,
  { groups }: SlotGroups,
  g: number,
  crewColumns: readonly (readonly (readonly number[])[])[],
): MetreColumn[] {
  const { shifts, slots } = groups[g];
  return shifts.flatMap(({ items }, shift) =>
    index.groups.flatMap(({ minutesPerM }, crew) => {
      const columns = crewColumns[shift][crew];
      if (columns.length === 0) return [];
      const able = items.filter(({ block, pass }) => minutesPerM[block][pass] >= 0);
      const added = able.map((item): MetreColumn => {
        const { block, metresBefore } = index.blocks[item.block];
        const whole = metresBefore[block.pieces.length];
        const byTime = (columns.length * item.netMinutes) / minutesPerM[item.block][item.pass];
        const upper = Math.min(whole, slots.length * byTime);
        const column = model.addColumn({ cost: 0, lower: 0, upper, integer: false });
        return { column, group: g, shift, crew, item, mostInSlot: Math.min(whole, byTime) };
      });
      // What must end by an earlier limit takes its time first: one row for each limit.
      for (const limit of new Set(able.map(({ netMinutes }) => netMinutes))) {
        const within = added.filter(({ item }) => item.netMinutes <= limit);
        model.atMost(0, [
          ...within.map(({ column, item }): Term => [column, minutesPerM[item.block][item.pass]]),
          ...columns.map((column): Term => [column, -limit]),
        ]);
      }
      return added;
    }),
  );
}

/** Every pass of a block is done on what is placed. */
function addPlaced(
  model: MixedIntegerModel,
  index: PackingIndex,
  metres: readonly MetreColumn[],
  placed: Int32Array,
): void {
  const rows = index.blocks.map(({ block }) => block.passes.map((): Term[] => []));
  for (const { column, item } of metres) rows[item.block][item.pass].push([column, 1]);
  rows.forEach((passes, b) => {
    for (const terms of passes) model.equal(0, [...terms, [placed[b], -1]]);
  });
}

/** No work in the safety area of an open facility. */
function addSafetyAreas(
  model: MixedIntegerModel,
  index: PackingIndex,
  groups: SlotGroups,
  metres: readonly MetreColumn[],
  closures: Int32Array,
): void {
  for (const { column, group, shift, item, mostInSlot } of metres)
    for (const facility of index.blocks[item.block].requires) {
      const covered = coveredByOne(index, groups, { group, shift, facility });
      if (covered === null) continue;
      const terms = [...covered].map(([g, slots]): Term => [closures[g], -mostInSlot * slots]);
      model.atMost(0, [[column, 1], ...terms]);
    }
}

/** By group of covers: slots of a group that one closure covers at most. null: a fixed closure covers some of them. */
function coveredByOne(
  index: PackingIndex,
  { groups, groupOfSlot }: SlotGroups,
  { group, shift, facility }: { readonly group: number; readonly shift: number; readonly facility: number },
): Map<number, number> | null {
  const slotsByCover = new Map<number, number>();
  for (const slot of groups[group].slots)
    for (const cover of index.covers(index.slots[slot].shiftFrom + shift, facility)) {
      if (cover < 0) return null;
      slotsByCover.set(cover, (slotsByCover.get(cover) ?? 0) + 1);
    }
  const most = new Map<number, number>();
  for (const [cover, slots] of slotsByCover) {
    const g = groupOfSlot[cover];
    most.set(g, Math.max(most.get(g) ?? 0, slots));
  }
  return most;
}
