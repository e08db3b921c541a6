import type { Covered, CrewShift, LaidTask, LaidWork } from './lay-work.ts';
import type { IndexedBlock, PackingIndex } from './packing-index.ts';

/** What one crew-shift has for a block. Without minutes nothing of it can be done. */
interface Chance {
  readonly netMinutes: number;
  readonly minutesPerM: number;
}

/**
 * Lays the work of a facility with two blocks of one pass into crew-shifts so that as much weight is done as whole pieces
 * allow: for each piece that the first block has come to, how far the second can be, crew-shift by crew-shift. A shift shares
 * its minutes between the two. Answers null where the facility has other blocks.
 */
export function layTwoBlocks(
  index: PackingIndex,
  facility: number,
  crewShifts: readonly CrewShift[],
  covered: Covered,
): LaidWork | null {
  const own = index.blocksOf[facility].map((b) => index.blocks[b]);
  if (own.length !== 2 || own.some(({ block }) => block.passes.length > 1)) return null;
  const [a, b] = own;
  const chances = crewShifts.map((crewShift) => own.map((block) => chanceIn(index, crewShift, block, covered)));
  const [lastA, lastB] = own.map(({ block }) => block.pieces.length);
  const secondAfter = [new Int32Array(lastA + 1).fill(NEVER)];
  secondAfter[0][0] = 0;
  const cameFrom: Int32Array[] = [];
  for (const [inA, inB] of chances) {
    const before = secondAfter[secondAfter.length - 1];
    const after = Int32Array.from(before);
    const from = Int32Array.from(before, (_, i) => i);
    const most = Math.max(inA.netMinutes, inB.netMinutes);
    for (let start = 0; start <= lastA; start++) {
      if (before[start] === NEVER) continue;
      for (let end = start; end <= lastA; end++) {
        const minutes = minutesOf(a, inA, start, end);
        if (minutes > inA.netMinutes + TOLERANCE) break;
        const reached = furthest(b, inB, before[start], Math.min(inB.netMinutes, most - minutes));
        if (reached <= after[end]) continue;
        after[end] = reached;
        from[end] = start;
      }
    }
    secondAfter.push(after);
    cameFrom.push(from);
    if (after[lastA] === lastB) break;
  }
  return traced(own, { chances, secondAfter, cameFrom });
}

const NEVER = -1;
const TOLERANCE = 1e-7;

function chanceIn(index: PackingIndex, { shift, group }: CrewShift, of: IndexedBlock, covered: Covered): Chance {
  const item = index.shifts[shift].items.find(({ block }) => block === of.index);
  const minutesPerM = index.groups[group].minutesPerM[of.index][0];
  const able = item !== undefined && minutesPerM >= 0 && of.requires.every((facility) => covered(shift, facility));
  return able ? { netMinutes: item.netMinutes, minutesPerM } : { netMinutes: 0, minutesPerM: 1 };
}

const minutesOf = ({ metresBefore }: IndexedBlock, { minutesPerM }: Chance, from: number, to: number): number =>
  (metresBefore[to] - metresBefore[from]) * minutesPerM;

/** Furthest piece that minutes reach from another. */
function furthest(block: IndexedBlock, chance: Chance, from: number, minutes: number): number {
  let to = from;
  while (to < block.block.pieces.length && minutesOf(block, chance, from, to + 1) <= minutes + TOLERANCE) to++;
  return to;
}

interface Reached {
  readonly chances: readonly (readonly Chance[])[];
  /** By crew-shifts done: by piece of the first block, furthest piece of the second. */
  readonly secondAfter: readonly Int32Array[];
  /** By crew-shift: by piece of the first block at its end, the piece at its start. */
  readonly cameFrom: readonly Int32Array[];
}

/** The tasks that lead to the most weight. */
function traced([a, b]: readonly IndexedBlock[], { chances, secondAfter, cameFrom }: Reached): LaidWork {
  const second = secondAfter[secondAfter.length - 1];
  const weightAt = (i: number) =>
    a.block.weightPerM * a.metresBefore[i] + b.block.weightPerM * b.metresBefore[second[i]];
  let best = 0;
  for (let i = 1; i < second.length; i++)
    if (second[i] !== NEVER && (second[best] === NEVER || weightAt(i) > weightAt(best))) best = i;
  const tasks: LaidTask[] = [];
  let end = best;
  for (let crewShift = cameFrom.length - 1; crewShift >= 0; crewShift--) {
    const start = cameFrom[crewShift][end];
    const add = (which: number, block: IndexedBlock, from: number, to: number) => {
      const chance = chances[crewShift][which];
      const minutes = minutesOf(block, chance, from, to);
      if (to > from)
        tasks.push({ crewShift, block: block.index, pass: 0, from, to, minutes, netMinutes: chance.netMinutes });
    };
    add(0, a, start, end);
    add(1, b, secondAfter[crewShift][start], secondAfter[crewShift + 1][end]);
    end = start;
  }
  tasks.reverse();
  return { tasks, done: Int32Array.of(best, second[best]), weight: weightAt(best) };
}
