import type { PackingIndex } from './packing-index.ts';

/** One pass of one block, as if every shift were the longest and every crew the fastest. */
interface IdealWork {
  readonly block: number;
  readonly net: number;
  /** Seals what an earlier shift has opened. */ readonly lagged: boolean;
  readonly perM: number;
  readonly weightPerM: number;
  readonly metresBefore: Float64Array;
}

/** The passes of a facility, in order of blocks; those that no shift has time for are left out. */
function idealWork(index: PackingIndex, facility: number): IdealWork[] {
  return index.blocksOf[facility].flatMap((b) => {
    const { block, metresBefore } = index.blocks[b];
    return block.passes.flatMap((_, pass) => {
      const [perM, net] = [fastest(index, b, pass), longestNet(index, facility, b, pass)];
      const work = { block: b, net, lagged: pass > 0, perM, weightPerM: block.weightPerM, metresBefore };
      return net > 0 && Number.isFinite(perM) ? work : [];
    });
  });
}

/** Most minutes that a shift of the facility has for a pass. */
export function longestNet(index: PackingIndex, facility: number, block: number, pass: number): number {
  let longest = 0;
  for (const slot of index.slotsOf[facility]) {
    const { shiftFrom, shiftTo } = index.slots[slot];
    for (let shift = shiftFrom; shift < shiftTo; shift++)
      for (const item of index.shifts[shift].items)
        if (item.block === block && item.pass === pass) longest = Math.max(longest, item.netMinutes);
  }
  return longest;
}

/** Least minutes for a metre of a pass, by any crew. */
export const fastest = (index: PackingIndex, block: number, pass: number): number =>
  index.groups.reduce((least, { minutesPerM }) => {
    const perM = minutesPerM[block][pass];
    return perM >= 0 ? Math.min(least, perM) : least;
  }, Number.POSITIVE_INFINITY);

/** What whole pieces let crew-shifts do at a facility, whatever the windows: no schedule does better. */
export interface CrewShiftLimits {
  /** Crew-shifts without which the work cannot all be done. */ readonly least: number;
  readonly placed: readonly PlacedLimit[];
}

export interface PlacedLimit {
  /** Blocks whose placed weights are added up. */ readonly blocks: readonly number[];
  /** Most weight after 0, 1, 2, ... crew-shifts; no more after the last. */ readonly weightByShifts: readonly number[];
}

/**
 * Limits by minutes for all passes, and by whole pieces for the last pass of one block, or of each two blocks together.
 * The first crew-shift seals nothing that another has to open.
 */
export function crewShiftLimits(index: PackingIndex, facility: number): CrewShiftLimits {
  const work = idealWork(index, facility);
  const last = work.filter(({ block }, i) => work[i + 1]?.block !== block);
  let least = leastByMinutes(work);
  const placed: PlacedLimit[] = [];
  const sets = last.flatMap((a, i) => [[a], ...last.slice(i + 1).map((b) => [a, b])]);
  for (const set of sets) {
    const reach = weightByShifts(set[0], set[1] ?? nothingWith(set[0]));
    least = Math.max(least, reach.length - 1);
    placed.push({ blocks: set.map(({ block }) => block), weightByShifts: reach });
  }
  return { least, placed };
}

const nothingWith = (work: IdealWork): IdealWork => ({ ...work, metresBefore: new Float64Array(1) });

/** Passes share shifts by minutes, of which those that must end sooner have fewer. */
function leastByMinutes(work: readonly IdealWork[]): number {
  let least = 0;
  for (const { net: limit } of work) {
    const within = work.filter(({ net }) => net <= limit);
    const shifts = (items: readonly IdealWork[]) =>
      Math.ceil(items.reduce((sum, { metresBefore: m, perM }) => sum + m[m.length - 1] * perM, 0) / limit - 1e-9);
    const sealing = shifts(within.filter(({ lagged }) => lagged));
    least = Math.max(least, shifts(within), sealing > 0 ? sealing + 1 : 0);
  }
  return least;
}

const MOST_SHIFTS = 10_000;
const TOLERANCE_M = 1e-7;

/**
 * Most weight laid of two blocks after 0, 1, 2, ... shifts, until nothing more is gained. For each piece that the first has
 * come to, how far the second can be: a shift shares its minutes between them.
 */
function weightByShifts(a: IdealWork, b: IdealWork): number[] {
  const none = -1;
  const [lastA, lastB] = [a.metresBefore.length - 1, b.metresBefore.length - 1];
  const most = Math.max(a.net, b.net);
  let second = new Int32Array(lastA + 1).fill(none);
  second[0] = 0;
  const weights = [0];
  for (let shifts = 1; shifts <= MOST_SHIFTS; shifts++) {
    const next = Int32Array.from(second);
    for (let from = 0; from <= lastA; from++) {
      if (second[from] === none) continue;
      for (let to = from; to <= lastA; to++) {
        const minutes = (a.metresBefore[to] - a.metresBefore[from]) * a.perM;
        if (minutes > a.net + TOLERANCE_M || (to > from && a.lagged && shifts === 1)) break;
        const left = Math.min(b.net, most - minutes);
        const reached = b.lagged && shifts === 1 ? second[from] : furthest(b, second[from], left);
        if (reached > next[to]) next[to] = reached;
      }
    }
    const unchanged = next.every((reached, i) => reached === second[i]);
    if (unchanged && shifts > 1) return weights;
    second = next;
    let weight = 0;
    for (let i = 0; i <= lastA; i++)
      if (second[i] !== none)
        weight = Math.max(weight, a.weightPerM * a.metresBefore[i] + b.weightPerM * b.metresBefore[second[i]]);
    weights.push(weight);
    if (second[lastA] === lastB) return weights;
  }
  return weights;
}

/** Furthest piece that minutes reach from another. */
function furthest({ metresBefore, perM }: IdealWork, from: number, minutes: number): number {
  let to = from;
  const limit = metresBefore[from] + minutes / perM + TOLERANCE_M;
  while (to + 1 < metresBefore.length && metresBefore[to + 1] <= limit) to++;
  return to;
}
