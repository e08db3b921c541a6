import { hasLeft, shuffled } from './improve-schedule.ts';
import type { PackingIndex } from './packing-index.ts';
import type { PackingState } from './packing-state.ts';

export const facilitiesWithWork = (index: PackingIndex): number[] =>
  index.facilities.map((_, f) => f).filter((f) => index.blocksOf[f].length > 0);

const MOST_REMOVED = 4;

/**
 * One to four facilities to be planned anew, in random order: the first one that has unplaced work, every other time; the
 * others exclude or need one that is drawn already, or are drawn from all.
 */
export function facilitiesAround(state: PackingState, withWork: readonly number[], uniform: () => number): number[] {
  const draw = (from: readonly number[]) => from[Math.floor(uniform() * from.length)];
  const unfinished = withWork.filter((f) => hasLeft(state, f));
  const removed = [draw(unfinished.length > 0 && uniform() < 0.5 ? unfinished : withWork)];
  const wanted = 1 + Math.floor(uniform() * Math.min(MOST_REMOVED, withWork.length));
  for (let tries = 0; removed.length < wanted && tries < 20; tries++) {
    const near = neighboursOf(state.index, draw(removed));
    const other = draw(near.length > 0 && uniform() < 0.5 ? near : withWork);
    if (!removed.includes(other)) removed.push(other);
  }
  return shuffled(removed, uniform);
}

const known = new WeakMap<PackingIndex, number[][]>();

/** Facilities with work that exclude or need one another, both ways. */
function neighboursOf(index: PackingIndex, facility: number): readonly number[] {
  let all = known.get(index);
  if (!all) {
    const near = index.facilities.map((_, f) => new Set(index.excluded[f]));
    for (const block of index.blocks)
      for (const other of block.requires) {
        near[block.facility].add(other);
        near[other].add(block.facility);
      }
    all = near.map((set, f) => [...set].filter((other) => other !== f && index.blocksOf[other].length > 0));
    known.set(index, all);
  }
  return all[facility];
}
