import { type ChunkKernel, type KernelMaker, ONE_THREAD, type SumThreads } from '../numeric/chunk-sums.ts';
import type { IntervalRows } from './innermost-intervals.ts';
import { type TurnbullEstimate, turnbull } from './turnbull.ts';

/** Where the mass of an estimate lies, and how much lives on after it. */
export type MassIntervals = Pick<TurnbullEstimate, 'from' | 'to' | 'mass' | 'survivalAfter'>;

/** An estimate takes as long for each row as so many rows of a step of a fit of ages alone. */
const WORK_OF_ROW = 20;
const NUMBERS = 4;

interface GroupRows {
  readonly groups: readonly IntervalRows[];
  /** Most intervals of one estimate. */ readonly most: number;
}

/** `turnbull` of several groups of rows at once; nothing for a group without rows. */
export function turnbullOfGroups(
  groups: readonly IntervalRows[],
  threads: SumThreads = ONE_THREAD,
): readonly MassIntervals[] {
  // An interval that may carry mass begins at a lower bound, which is in it or is not.
  const most = 2 * groups.reduce((largest, { lower }) => Math.max(largest, new Set(lower).size), 0);
  return threads.withSums(TURNBULL_GROUPS, { groups, most }, (sums) => {
    const found = sums(0, new Float64Array(0));
    return groups.map((_, g) => {
      const at = g * (1 + NUMBERS * most);
      const part = (k: number) => found.slice(at + 1 + k * most, at + 1 + k * most + found[at]);
      return { from: part(0), to: part(1), mass: part(2), survivalAfter: part(3) };
    });
  });
}

/** The "sums" of a chunk are the estimate of a group: how many intervals it has, then each of their numbers in turn. */
export const TURNBULL_GROUPS: KernelMaker<GroupRows> = {
  name: 'turnbull',
  work: ({ groups }) => groups.reduce((sum, { lower }) => sum + WORK_OF_ROW * lower.length, 0),
  make: turnbullChunks,
};

function turnbullChunks({ groups, most }: GroupRows): ChunkKernel {
  return {
    chunks: groups.length,
    pointLength: 0,
    sumLength: 1 + NUMBERS * most,
    sumChunk: (chunk, _wanted, _point, out, at) => {
      if (groups[chunk].lower.length === 0) return;
      const { from, to, mass, survivalAfter } = turnbull(groups[chunk]);
      out[at] = from.length;
      for (const [k, part] of [from, to, mass, survivalAfter].entries()) out.set(part, at + 1 + k * most);
    },
  };
}
