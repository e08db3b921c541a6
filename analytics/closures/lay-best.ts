import { layTwoBlocks } from './lay-two-blocks.ts';
import { type Covered, type CrewShift, type LaidWork, layWork } from './lay-work.ts';
import type { PackingIndex } from './packing-index.ts';

/** Lays work into crew-shifts in their order; where some is left that a better share of each shift could hold, as well as can be. */
export function layBest(
  index: PackingIndex,
  facility: number,
  crewShifts: readonly CrewShift[],
  covered: Covered,
): LaidWork {
  const laid = layWork(index, facility, crewShifts, covered);
  const isDone = index.blocksOf[facility].every((b, i) => laid.done[i] === index.blocks[b].block.pieces.length);
  if (isDone) return laid;
  const best = layTwoBlocks(index, facility, crewShifts, covered);
  return best && best.weight > laid.weight ? best : laid;
}
