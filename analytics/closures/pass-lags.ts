import type { MixedIntegerModel, Term } from '../numeric/mixed-integer.ts';
import type { PackingIndex, SlotShift } from './packing-index.ts';
import type { SlotGroups } from './slot-groups.ts';

/** Metres of one pass, done by one crew group in one shift of a slot group. */
export interface PassMetres {
  readonly column: number;
  readonly group: number;
  readonly item: { readonly block: number; readonly pass: number };
}

/** Sealed no sooner than opened, and opened no longer before sealing than allowed, by period; in one closure by group. */
export function addLags(
  model: MixedIntegerModel,
  index: PackingIndex,
  groups: SlotGroups,
  metres: readonly PassMetres[],
): void {
  index.blocks.forEach(({ block }, b) => {
    const lag = block.passes[1]?.afterPrevious;
    if (!lag) return;
    const own = metres.filter(({ item }) => item.block === b);
    if (lag.sameClosure) addSameClosure(model, own);
    else addRunningTotals(model, index, groups, { block: b, own });
  });
}

function addSameClosure(model: MixedIntegerModel, own: readonly PassMetres[]): void {
  for (const g of new Set(own.map(({ group }) => group)))
    model.equal(
      0,
      own.filter(({ group }) => group === g).map(({ column, item }): Term => [column, item.pass === 0 ? 1 : -1]),
    );
}

interface OwnMetres {
  readonly block: number;
  readonly own: readonly PassMetres[];
}

function addRunningTotals(
  model: MixedIntegerModel,
  index: PackingIndex,
  groups: SlotGroups,
  { block: b, own }: OwnMetres,
): void {
  const { block, metresBefore } = index.blocks[b];
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
  const { openedBy, sealedBy } = lagPeriods(index, groups, b);
  const within = (sum: number, whole: number | undefined) =>
    model.atMost(0, [[sum, 1], ...(whole === undefined ? [] : [[whole, -1] as const])]);
  for (let period = 0; period < groups.periods; period++) {
    within(sealed[period], opened[openedBy[period]]);
    within(opened[period], sealed[sealedBy[period]]);
  }
}

/** -1 where there is no such period. */
interface LagPeriods {
  /** By period: the last one in which what is sealed by its end can have been opened. */ readonly openedBy: Int32Array;
  /** By period: the last one in which what is opened by its end can still be sealed in time. */
  readonly sealedBy: Int32Array;
}

function lagPeriods(index: PackingIndex, { periods, periodOf }: SlotGroups, b: number): LagPeriods {
  const lag = index.blocks[b].block.passes[1].afterPrevious;
  const shifts = ofPass(index, b, periodOf);
  const openedBy = new Int32Array(periods).fill(-1);
  const sealedBy = new Int32Array(periods).fill(-1);
  if (!lag) return { openedBy, sealedBy };
  const lastPeriod = (all: readonly PeriodShift[], fits: (shift: SlotShift) => boolean) =>
    all.reduce((last, { period, shift }) => (period > last && fits(shift) ? period : last), -1);
  let [sealStart, openEnd] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let period = 0; period < periods; period++) {
    for (const { period: p, shift } of shifts[1]) if (p === period) sealStart = Math.max(sealStart, shift.startMinute);
    for (const { period: p, shift } of shifts[0]) if (p === period) openEnd = Math.max(openEnd, shift.endMinute);
    openedBy[period] = lastPeriod(shifts[0], ({ endMinute }) => endMinute + lag.leastMinutes <= sealStart);
    sealedBy[period] = lastPeriod(shifts[1], ({ endMinute }) => endMinute <= openEnd + lag.mostMinutes);
  }
  return { openedBy, sealedBy };
}

interface PeriodShift {
  readonly period: number;
  readonly shift: SlotShift;
}

/** Shifts in which each pass of a block may be worked. */
function ofPass(index: PackingIndex, b: number, periodOf: SlotGroups['periodOf']): readonly PeriodShift[][] {
  const found: PeriodShift[][] = index.blocks[b].block.passes.map(() => []);
  for (const slot of index.slotsOf[index.blocks[b].facility]) {
    const { shiftFrom, shiftTo, window } = index.slots[slot];
    const period = periodOf(window.startMinute);
    for (const shift of index.shifts.slice(shiftFrom, shiftTo))
      for (const { block, pass } of shift.items) if (block === b) found[pass].push({ period, shift });
  }
  return found;
}
