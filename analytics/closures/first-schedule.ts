import { insertFacility, PLAIN_INSERT, type Quota } from './insert-facility.ts';
import type { PackingIndex } from './packing-index.ts';
import { PackingState } from './packing-state.ts';
import { facilitiesWithWork } from './ruin-choice.ts';

/**
 * A schedule made in one go: facilities one after the other. Those that others need closed come first, so that the others
 * find them closed; then those with the least room for their work.
 */
export function firstSchedule(index: PackingIndex, quota: Quota | null = null): PackingState {
  const state = new PackingState(index);
  const needed = new Set(index.blocks.flatMap(({ requires }) => requires));
  const tightness = new Map(facilitiesWithWork(index).map((f) => [f, tightnessOf(index, f)]));
  const order = [...tightness].sort(
    ([a, tightA], [b, tightB]) => Number(needed.has(b)) - Number(needed.has(a)) || tightB - tightA || a - b,
  );
  for (const [facility] of order) {
    const plan = insertFacility(state, facility, { ...PLAIN_INSERT, quota });
    if (plan) state.apply(plan);
  }
  return state;
}

/** Minutes of work over what all windows of a facility hold with one crew; infinite where they hold nothing. */
function tightnessOf(index: PackingIndex, facility: number): number {
  let net = 0;
  for (const slot of index.slotsOf[facility])
    for (let shift = index.slots[slot].shiftFrom; shift < index.slots[slot].shiftTo; shift++)
      net += index.shifts[shift].items.reduce((most, { netMinutes }) => Math.max(most, netMinutes), 0);
  const work = index.blocksOf[facility].reduce((sum, b) => {
    const { block, metresBefore } = index.blocks[b];
    const minutesPerM = block.passes.reduce((total, _, p) => {
      const paces = index.groups.map((group) => group.minutesPerM[b][p]).filter((pace) => pace >= 0);
      return total + (paces.length > 0 ? Math.min(...paces) : 0);
    }, 0);
    return sum + metresBefore[block.pieces.length] * minutesPerM;
  }, 0);
  return net > 0 ? work / net : Number.POSITIVE_INFINITY;
}
