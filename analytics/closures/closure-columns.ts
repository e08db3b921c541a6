import type { MixedIntegerModel, Term } from '../numeric/mixed-integer.ts';
import { facilityCliques } from './facility-cliques.ts';
import type { PackingIndex } from './packing-index.ts';
import type { SlotGroups } from './slot-groups.ts';

/** What is closed and who is at work, as columns. */
export interface ClosureColumns {
  /** By slot group: closures in it. */ readonly closureColumn: Int32Array;
  /** By slot group, shift and crew group: columns of the first crew, the second and so on. */
  readonly crewColumns: readonly (readonly (readonly (readonly number[])[])[])[];
}

/** Adds closures and crews with all rules that say which of them may be at the same time. */
export function addClosures(
  model: MixedIntegerModel,
  index: PackingIndex,
  slotGroups: SlotGroups,
  scored: boolean,
): ClosureColumns {
  const closureColumn = Int32Array.from(slotGroups.groups, ({ cost, slots }) =>
    model.addColumn({ cost: scored ? cost : 0, lower: 0, upper: slots.length, integer: true }),
  );
  const crewColumns = slotGroups.groups.map((_, g) =>
    addCrews(model, index, slotGroups, { g, closure: closureColumn[g], scored }),
  );
  addExclusions(model, index, slotGroups, closureColumn);
  addCrewLimits(model, index, slotGroups, crewColumns);
  return { closureColumn, crewColumns };
}

/** First, second, ... crew of each crew group in each shift: a second one needs a first. */
function addCrews(
  model: MixedIntegerModel,
  index: PackingIndex,
  { groups }: SlotGroups,
  { g, closure, scored }: { readonly g: number; readonly closure: number; readonly scored: boolean },
): number[][][] {
  const { facility, slots, shifts } = groups[g];
  const { mostCrews } = index.facilities[facility];
  return shifts.map(({ items, crewsFree }) => {
    const columns = index.groups.map(({ minutesPerM }, crew) => {
      const able = items.some(({ block, pass }) => minutesPerM[block][pass] >= 0);
      const most = able ? Math.min(mostCrews, crewsFree[crew]) : 0;
      return Array.from({ length: most }, () =>
        model.addColumn({
          cost: scored ? index.problem.rules.crewShiftCost : 0,
          lower: 0,
          upper: slots.length,
          integer: true,
        }),
      );
    });
    for (const list of columns)
      list.forEach((column, k) => {
        model.atMost(0, [
          [column, 1],
          [k === 0 ? closure : list[k - 1], -1],
        ]);
      });
    const all = columns.flat();
    if (all.length > mostCrews) model.atMost(0, [...all.map((c): Term => [c, 1]), [closure, -mostCrews]]);
    return columns;
  });
}

function addExclusions(model: MixedIntegerModel, index: PackingIndex, groups: SlotGroups, closures: Int32Array): void {
  const { takenBy, timesOf, count } = groups.closures;
  for (const clique of facilityCliques(index.excluded)) {
    const rows = Array.from({ length: count }, (): Term[] => []);
    for (const facility of clique)
      for (const g of groups.ofFacility[facility])
        for (const [bucket, times] of takenBy[g]) rows[bucket].push([closures[g], times]);
    rows.forEach((terms, bucket) => {
      const times = new Set(clique.flatMap((facility) => [...timesOf[bucket][facility]]));
      const most = terms.reduce((sum, [column, taken]) => sum + taken * model.upper[column], 0);
      if (most > times.size) model.atMost(times.size, terms);
    });
  }
}

/** Crews at work at any time, and facilities with two crews or more, three or more, and so on. */
function addCrewLimits(
  model: MixedIntegerModel,
  index: PackingIndex,
  groups: SlotGroups,
  crewColumns: ClosureColumns['crewColumns'],
): void {
  index.groups.forEach(({ crewIds }, crew) => {
    const rows = groups.crewBuckets.map((): Term[][] => []);
    groups.groups.forEach((group, g) => {
      group.shifts.forEach((_, shift) => {
        crewColumns[g][shift][crew].forEach((column, k) => {
          for (const [bucket, times] of groups.crewTaken[g][shift]) {
            rows[bucket][0] ??= [];
            rows[bucket][0].push([column, times]);
            if (k === 0) continue;
            rows[bucket][k] ??= [];
            rows[bucket][k].push([column, times]);
          }
        });
      });
    });
    rows.forEach((byNumber, bucket) => {
      byNumber.forEach((terms, k) => {
        const limit = Math.floor(crewIds.length / (k === 0 ? 1 : k + 1)) * groups.crewBuckets[bucket];
        const most = terms.reduce((sum, [column, taken]) => sum + taken * model.upper[column], 0);
        if (most > limit) model.atMost(limit, terms);
      });
    });
  });
}
