import { MixedIntegerModel, type Term } from '../numeric/mixed-integer.ts';
import { addClosures, type ClosureColumns } from './closure-columns.ts';
import type { MasterGoal } from './closure-master.ts';
import type { CrewShift, LaidTask } from './lay-work.ts';
import type { PackingIndex, ShiftItem } from './packing-index.ts';
import type { FacilityPlan } from './packing-state.ts';
import type { SlotGroups } from './slot-groups.ts';

/** Piece by piece, the schedule as it is: for plans small enough to be proven best. */
export interface ExactModel extends ClosureColumns {
  readonly model: MixedIntegerModel;
  readonly pieces: readonly PieceColumns[];
}

/** One pass of one block given to one crew in one shift: a column for each piece. */
interface PieceColumns {
  readonly shift: number;
  readonly crewGroup: number;
  /** Place of the crew among those at work in the shift, in order along the pavement. */ readonly crew: number;
  readonly item: ShiftItem;
  readonly columns: readonly number[];
}

/** More columns than this are not tried. */
const MOST_PIECE_COLUMNS = 3000;

/** Whether a plan is small enough to be solved piece by piece. */
export function fitsExact(index: PackingIndex): boolean {
  let columns = 0;
  for (const { slot, items, crewsFree } of index.shifts) {
    const { mostCrews } = index.facilities[index.slots[slot].facility];
    for (const { block, pass } of items)
      index.groups.forEach(({ minutesPerM }, q) => {
        if (minutesPerM[block][pass] >= 0)
          columns += (crewsFree[q] > 0 ? mostCrews : 0) * index.blocks[block].block.pieces.length;
      });
  }
  return columns <= MOST_PIECE_COLUMNS;
}

/** @param slotGroups each slot by itself */
export function exactModel(index: PackingIndex, slotGroups: SlotGroups, goal: MasterGoal): ExactModel {
  const model = new MixedIntegerModel();
  const closures = addClosures(model, index, slotGroups, goal.kind === 'least-cost');
  const placed = index.blocks.map(({ block }) =>
    block.pieces.map(({ lengthM }) =>
      model.addColumn({
        cost: goal.kind === 'most-work' ? -block.weightPerM * lengthM : 0,
        lower: 0,
        upper: 1,
        integer: true,
      }),
    ),
  );
  const pieces = addPieces(model, index, slotGroups, closures);
  index.blocks.forEach((_, b) => {
    const own = pieces.filter(({ item }) => item.block === b);
    addPasses(model, index, b, own, placed[b]);
    addSafetyArea(model, index, slotGroups, own, closures);
    addLag(model, index, b, own);
  });
  if (goal.kind === 'least-cost')
    model.atLeast(
      goal.weight * (1 - 1e-9),
      index.blocks.flatMap(({ block }, b) =>
        block.pieces.map(({ lengthM }, i): Term => [placed[b][i], block.weightPerM * lengthM]),
      ),
    );
  return { model, ...closures, pieces };
}

function addPieces(
  model: MixedIntegerModel,
  index: PackingIndex,
  { groupOfSlot }: SlotGroups,
  { crewColumns }: ClosureColumns,
): PieceColumns[] {
  return index.shifts.flatMap(({ slot, number }, shift) => {
    const { mostCrews } = index.facilities[index.slots[slot].facility];
    const places = crewPlaces(model, crewColumns[groupOfSlot[slot]][number], mostCrews);
    return places.flatMap(({ crewGroup, crew, working }) =>
      addPiecesOf(model, index, { shift, crewGroup, crew, working }),
    );
  });
}

interface CrewPlace {
  readonly crewGroup: number;
  readonly crew: number;
  /** Column: a crew of the group works in this place. */ readonly working: number;
}

/** Places in a shift, each for one crew; where crews differ, any order of them is possible. */
function crewPlaces(model: MixedIntegerModel, ofGroup: readonly (readonly number[])[], mostCrews: number): CrewPlace[] {
  const able = ofGroup.flatMap((columns, crewGroup) => (columns.length > 0 ? crewGroup : []));
  if (able.length < 2 || mostCrews < 2)
    return able.flatMap((crewGroup) => ofGroup[crewGroup].map((working, crew) => ({ crewGroup, crew, working })));
  const places = able.flatMap((crewGroup) =>
    Array.from({ length: mostCrews }, (_, crew): CrewPlace => {
      const working = model.addColumn({ cost: 0, lower: 0, upper: 1, integer: true });
      return { crewGroup, crew, working };
    }),
  );
  for (let crew = 0; crew < mostCrews; crew++)
    model.atMost(
      1,
      places.filter((place) => place.crew === crew).map(({ working }): Term => [working, 1]),
    );
  for (const crewGroup of able)
    model.atMost(0, [
      ...places.filter((place) => place.crewGroup === crewGroup).map(({ working }): Term => [working, 1]),
      ...ofGroup[crewGroup].map((column): Term => [column, -1]),
    ]);
  return places;
}

function addPiecesOf(
  model: MixedIntegerModel,
  index: PackingIndex,
  { shift, crewGroup, crew, working }: CrewPlace & { readonly shift: number },
): PieceColumns[] {
  const { minutesPerM } = index.groups[crewGroup];
  const able = index.shifts[shift].items.filter(({ block, pass }) => minutesPerM[block][pass] >= 0);
  const added = able.map((item): PieceColumns => {
    const columns = index.blocks[item.block].block.pieces.map(() => {
      const column = model.addColumn({ cost: 0, lower: 0, upper: 1, integer: true });
      model.atMost(0, [
        [column, 1],
        [working, -1],
      ]);
      return column;
    });
    return { shift, crewGroup, crew, item, columns };
  });
  for (const limit of new Set(able.map(({ netMinutes }) => netMinutes)))
    model.atMost(0, [
      ...added.flatMap(({ item, columns }) => {
        const { pieces } = index.blocks[item.block].block;
        const perM = item.netMinutes <= limit ? minutesPerM[item.block][item.pass] : 0;
        return columns.map((column, i): Term => [column, perM * pieces[i].lengthM]);
      }),
      [working, -limit],
    ]);
  return added;
}

/** Each pass of a placed piece is done once; pieces come in order, in time and from crew to crew. */
function addPasses(
  model: MixedIntegerModel,
  index: PackingIndex,
  b: number,
  own: readonly PieceColumns[],
  placed: readonly number[],
): void {
  const { block } = index.blocks[b];
  placed.slice(1).forEach((column, i) => {
    model.atMost(0, [
      [column, 1],
      [placed[i], -1],
    ]);
  });
  block.passes.forEach((_, pass) => {
    const inOrder = own
      .filter(({ item }) => item.pass === pass)
      .sort((x, y) => index.shifts[x.shift].startMinute - index.shifts[y.shift].startMinute || x.crew - y.crew);
    block.pieces.forEach((_, i) => {
      model.equal(0, [...inOrder.map(({ columns }): Term => [columns[i], 1]), [placed[i], -1]]);
      if (i === 0) return;
      const before: Term[] = [];
      for (const { columns } of inOrder) {
        before.push([columns[i], 1], [columns[i - 1], -1]);
        model.atMost(0, before);
      }
    });
  });
}

function addSafetyArea(
  model: MixedIntegerModel,
  index: PackingIndex,
  { groupOfSlot }: SlotGroups,
  own: readonly PieceColumns[],
  { closureColumn }: ClosureColumns,
): void {
  for (const { shift, item, columns } of own)
    for (const facility of index.blocks[item.block].requires) {
      const covers = index.covers(shift, facility);
      if (covers.some((cover) => cover < 0)) continue;
      for (const column of columns)
        model.atMost(0, [[column, 1], ...covers.map((slot): Term => [closureColumn[groupOfSlot[slot]], -1])]);
    }
}

/** A piece is sealed only where it was opened in time before. */
function addLag(model: MixedIntegerModel, index: PackingIndex, b: number, own: readonly PieceColumns[]): void {
  const lag = index.blocks[b].block.passes[1]?.afterPrevious;
  if (!lag) return;
  for (const sealing of own.filter(({ item }) => item.pass === 1)) {
    const seals = index.shifts[sealing.shift];
    const opening = own.filter(({ item, shift }) => {
      const opens = index.shifts[shift];
      return (
        item.pass === 0 &&
        opens.endMinute + lag.leastMinutes <= seals.startMinute &&
        seals.endMinute <= opens.endMinute + lag.mostMinutes &&
        (!lag.sameClosure || opens.slot === seals.slot)
      );
    });
    const shiftmates = own.filter(({ item, shift }) => item.pass === 1 && shift === sealing.shift);
    if (shiftmates[0] !== sealing) continue;
    index.blocks[b].block.pieces.forEach((_, i) => {
      model.atMost(0, [
        ...shiftmates.map(({ columns }): Term => [columns[i], 1]),
        ...opening.map(({ columns }): Term => [columns[i], -1]),
      ]);
    });
  }
}

/** Reads the plans of all facilities off a solution. */
export function exactPlans(
  index: PackingIndex,
  { groupOfSlot }: SlotGroups,
  { pieces, closureColumn }: ExactModel,
  values: Float64Array,
): (FacilityPlan | null)[] {
  const closed = (slot: number) => slot < 0 || values[closureColumn[groupOfSlot[slot]]] > 0.5;
  return index.facilities.map((_, facility) => {
    const own = pieces
      .filter(
        ({ item, columns }) => index.blocks[item.block].facility === facility && columns.some((c) => values[c] > 0.5),
      )
      .sort((x, y) => index.shifts[x.shift].startMinute - index.shifts[y.shift].startMinute || x.crew - y.crew);
    if (own.length === 0) return null;
    const crewShifts: CrewShift[] = [];
    const numbers = new Map<string, number>();
    const tasks = own.map(({ shift, crewGroup, crew, item, columns }): LaidTask => {
      const key = `${shift}/${crewGroup}/${crew}`;
      const crewShift = numbers.get(key) ?? crewShifts.length;
      if (crewShift === crewShifts.length) crewShifts.push({ shift, group: crewGroup });
      numbers.set(key, crewShift);
      const from = columns.findIndex((column) => values[column] > 0.5);
      const to = columns.findLastIndex((column) => values[column] > 0.5) + 1;
      const { metresBefore } = index.blocks[item.block];
      const minutes =
        (metresBefore[to] - metresBefore[from]) * index.groups[crewGroup].minutesPerM[item.block][item.pass];
      return { crewShift, ...item, from, to, minutes };
    });
    const supports = new Set<number>();
    for (const { shift, item } of own)
      for (const required of index.blocks[item.block].requires) {
        const cover = index.covers(shift, required).find(closed);
        if (cover !== undefined && cover >= 0) supports.add(cover);
      }
    return {
      facility,
      crewShifts,
      laid: { tasks, ...doneBy(index, facility, tasks) },
      slots: [...new Set(crewShifts.map(({ shift }) => index.shifts[shift].slot))].sort((a, b) => a - b),
      supports: [...supports].sort((a, b) => a - b),
    };
  });
}

function doneBy(index: PackingIndex, facility: number, tasks: readonly LaidTask[]) {
  const done = Int32Array.from(index.blocksOf[facility], (b) =>
    tasks.reduce((most, task) => (task.block === b && task.pass === 0 ? Math.max(most, task.to) : most), 0),
  );
  const weight = index.blocksOf[facility].reduce((sum, b, i) => {
    const { block, metresBefore } = index.blocks[b];
    return sum + block.weightPerM * metresBefore[done[i]];
  }, 0);
  return { done, weight };
}
