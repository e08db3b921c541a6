import type { ProgramProblem } from '../program-problem.ts';
import type { NetworkLayout } from './network-layout.ts';

/** Facilities in the search, each in one block of the bundle. */
export interface FacilityBlocks {
  readonly count: number;
  readonly facilities: Int32Array;
  /** One for each of `facilities`. */ readonly block: Int32Array;
  /** What a block's facilities stand for: its whole length over theirs. */ readonly weight: Float64Array;
}

const MOST_BLOCKS = 16;

/** All facilities that have segments, or a sample of them of about so many segments, the same at every call. */
export function facilityBlocks(problem: ProgramProblem, layout: NetworkLayout, segments: number): FacilityBlocks {
  const used: number[] = [];
  for (let f = 0; f < problem.facilities.count; f++) if (layout.start[f + 1] > layout.start[f]) used.push(f);
  const block = assignBlocks(problem, used);
  const count = block.reduce((most, b) => Math.max(most, b + 1), 0);
  const every = Math.max(1, Math.floor(problem.count / Math.max(1, segments)));
  const chosen = used.map((_, at) => at).filter((at) => Math.floor(at / count) % every === 0);
  const lengthOf = (at: number): number => facilityLength(problem, layout, used[at]);
  const [all, taken] = [new Float64Array(count), new Float64Array(count)];
  for (let at = 0; at < used.length; at++) all[block[at]] += lengthOf(at);
  for (const at of chosen) taken[block[at]] += lengthOf(at);
  return {
    count,
    facilities: Int32Array.from(chosen, (at) => used[at]),
    block: Int32Array.from(chosen, (at) => block[at]),
    weight: all.map((length, b) => (taken[b] > 0 ? length / taken[b] : 0)),
  };
}

/** Few facilities: each its own block. Many: those of a district dealt out over its share of the blocks. */
function assignBlocks(problem: ProgramProblem, used: readonly number[]): number[] {
  if (used.length <= MOST_BLOCKS) return used.map((_, at) => at);
  const districts = [...new Set(used.map((f) => problem.facilities.district[f]))].sort((a, b) => a - b);
  const each = Math.max(1, Math.floor(MOST_BLOCKS / districts.length));
  const dealt = new Map<number, number>();
  const found = new Map<string, number>();
  return used.map((f) => {
    const district = problem.facilities.district[f];
    const turn = dealt.get(district) ?? 0;
    dealt.set(district, turn + 1);
    const key = `${districts.indexOf(district) % MOST_BLOCKS} ${turn % each}`;
    if (!found.has(key)) found.set(key, found.size);
    return found.get(key) as number;
  });
}

function facilityLength(problem: ProgramProblem, layout: NetworkLayout, f: number): number {
  let sum = 0;
  for (let p = layout.start[f]; p < layout.start[f + 1]; p++) sum += problem.lengthM[layout.order[p]];
  return sum;
}
