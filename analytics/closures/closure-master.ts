import { MixedIntegerModel, type Term } from '../numeric/mixed-integer.ts';
import { addClosures, type ClosureColumns } from './closure-columns.ts';
import { crewShiftLimits } from './least-crew-shifts.ts';
import type { PackingIndex, ShiftItem } from './packing-index.ts';
import type { SlotGroups } from './slot-groups.ts';

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
  const allPlaced = goal.kind === 'least-cost' && goal.weight >= index.totalWeight * (1 - 1e-9);
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
        const byTime = (slots.length * columns.length * item.netMinutes) / minutesPerM[item.block][item.pass];
        const upper = Math.min(metresBefore[block.pieces.length], byTime);
        return { column: model.addColumn({ cost: 0, lower: 0, upper, integer: false }), group: g, shift, crew, item };
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
  for (const { column, group, shift, item } of metres)
    for (const facility of index.blocks[item.block].requires) {
      const covers = new Set<number>();
      let always = false;
      for (const slot of groups.groups[group].slots)
        for (const cover of index.covers(index.slots[slot].shiftFrom + shift, facility)) {
          if (cover < 0) always = true;
          else covers.add(groups.groupOfSlot[cover]);
        }
      if (always) continue;
      const most = model.upper[column] / groups.groups[group].slots.length;
      model.atMost(0, [[column, 1], ...[...covers].map((g): Term => [closures[g], -most])]);
    }
}

/** Sealed no sooner than opened, and opened no longer before sealing than allowed, by period; in one closure by group. */
function addLags(
  model: MixedIntegerModel,
  index: PackingIndex,
  groups: SlotGroups,
  metres: readonly MetreColumn[],
): void {
  index.blocks.forEach(({ block, metresBefore }, b) => {
    const lag = block.passes[1]?.afterPrevious;
    if (!lag) return;
    const own = metres.filter(({ item }) => item.block === b);
    if (lag.sameClosure) {
      for (const g of new Set(own.map(({ group }) => group)))
        model.equal(
          0,
          own.filter(({ group }) => group === g).map(({ column, item }): Term => [column, item.pass === 0 ? 1 : -1]),
        );
      return;
    }
    const upper = metresBefore[block.pieces.length];
    const total = () => model.addColumn({ cost: 0, lower: 0, upper, integer: false });
    const opened = Array.from({ length: groups.periods }, total);
    const sealed = Array.from({ length: groups.periods }, total);
    [opened, sealed].forEach((sums, pass) => {
      sums.forEach((sum, period) => {
        const here = own.filter(({ item, group }) => item.pass === pass && groups.groups[group].period === period);
        const before: Term[] = period === 0 ? [] : [[sums[period - 1], 1]];
        model.equal(0, [[sum, -1], ...before, ...here.map(({ column }): Term => [column, 1])]);
      });
    });
    const longest = index.slots.reduce((most, { window }) => Math.max(most, window.endMinute - window.startMinute), 0);
    opened.forEach((sum, period) => {
      model.atMost(0, [
        [sealed[period], 1],
        [sum, -1],
      ]);
      // What was opened by the end of a period is sealed by the end of the period that its last deadline falls in.
      const lastStart = lastStartIn(groups, period);
      const by = groups.periodOf(lastStart + longest + lag.mostMinutes);
      model.atMost(0, [
        [sum, 1],
        [sealed[Math.min(by, groups.periods - 1)], -1],
      ]);
    });
  });
}

/** A minute no earlier than the start of any slot of a period. */
function lastStartIn(groups: SlotGroups, period: number): number {
  let [low, high] = [0, 1];
  while (groups.periodOf(high) <= period && high < Number.MAX_SAFE_INTEGER / 4) high *= 2;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (groups.periodOf(middle) <= period) low = middle;
    else high = middle;
  }
  return low;
}

/** Pieces are whole: so many crew-shifts place so much, and all of the work needs so many crew-shifts and closures. */
function addWholePieces(
  model: MixedIntegerModel,
  index: PackingIndex,
  groups: SlotGroups,
  { closureColumn, crewColumns, placedColumn }: Omit<ClosureMaster, 'model'>,
  allPlaced: boolean,
): void {
  index.facilities.forEach(({ mostCrews }, facility) => {
    const own = groups.ofFacility[facility];
    const crews = own.flatMap((g) => crewColumns[g].flat(2));
    const { least, placed } = crewShiftLimits(index, facility);
    for (const { blocks, constantWeight, perShiftWeight } of placed)
      model.atMost(constantWeight, [
        ...blocks.map((b): Term => [placedColumn[b], index.blocks[b].block.weightPerM]),
        ...(perShiftWeight > 0 ? crews.map((column): Term => [column, -perShiftWeight]) : []),
      ]);
    if (!allPlaced || least === 0) return;
    model.atLeast(
      least,
      crews.map((column): Term => [column, 1]),
    );
    const perClosure = own.reduce((most, g) => Math.max(most, mostCrews * groups.groups[g].shifts.length), 1);
    model.atLeast(
      Math.ceil(least / perClosure - 1e-9),
      own.map((g): Term => [closureColumn[g], 1]),
    );
  });
}
