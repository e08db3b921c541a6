import { Chosen, type SlotOffer } from './chosen-slots.ts';
import type { CrewShift } from './lay-work.ts';
import type { PackingIndex } from './packing-index.ts';
import type { FacilityPlan, PackingState } from './packing-state.ts';

export interface InsertOptions {
  /** Crews at most at the facility; its own limit also holds. */ readonly mostCrews: number;
  /** Work that opens joints and seals them later begins in the first slot from here, min. */
  readonly fromMinute: number;
  /** Multiplies the cost of a slot when slots are chosen: below 1 it is taken sooner. */
  readonly bias: (slot: number) => number;
  /** Work in safety areas finds its slots before the rest. */ readonly needyFirst: boolean;
  /** By group of slots: closures that are to be taken there before any other. */ readonly quota: Quota | null;
  /** Crew-shifts of the facility that stay as they are. */ readonly kept: readonly CrewShift[];
  /** Lays work into them and looks for no others. */ readonly keptOnly: boolean;
}

export interface Quota {
  readonly groupOfSlot: Int32Array;
  /** By group. */ readonly closures: Float64Array;
}

/** What a slot within its quota counts when slots are chosen. */
const QUOTA_BIAS = 0.3;

export const PLAIN_INSERT: InsertOptions = {
  mostCrews: Number.POSITIVE_INFINITY,
  fromMinute: Number.NEGATIVE_INFINITY,
  bias: () => 1,
  needyFirst: true,
  quota: null,
  kept: [],
  keptOnly: false,
};

/** A slot that could be closed for the facility, with the crews that are free and what they could do. */
interface Candidate extends SlotOffer {
  /** Metres that the crews could do of the work at hand, all passes together. */ readonly metres: number;
  readonly bias: number;
  /** Cost that is not being paid already, biased, for each metre. */ readonly key: number;
}

/**
 * Finds closures for all work of a facility that has none in the state: the windows that cost least for the work they hold,
 * or, where joints are opened first and sealed later, one after the other in time. Then closures that are not needed are
 * dropped. The state is left as it was.
 */
export function insertFacility(state: PackingState, facility: number, options = PLAIN_INSERT): FacilityPlan | null {
  const chosen = new Chosen(state, facility, options.kept);
  const [free, needy] = blocksByNeed(state.index, facility);
  // The last round places what work in safety areas has pushed out of its slots.
  const rounds = options.needyFirst && needy.length > 0 ? [needy, free] : [free, needy, free];
  for (const blocks of rounds) if (blocks.length > 0 && !options.keptOnly) fill(chosen, blocks, options);
  if (chosen.weight() === 0) return null;
  if (!options.keptOnly) chosen.prune();
  return chosen.plan();
}

const blocksByNeed = (index: PackingIndex, facility: number): [number[], number[]] => {
  const own = index.blocksOf[facility];
  return [own.filter((b) => index.blocks[b].requires.length === 0), own.filter((b) => index.blocks[b].requires.length)];
};

/** Whether a joint may be opened in one closure and sealed in a later one. */
export const hasLag = (index: PackingIndex, blocks: readonly number[]): boolean =>
  blocks.some((b) => index.blocks[b].block.passes[1]?.afterPrevious?.sameClosure === false);

export function weightOf(index: PackingIndex, facility: number): number {
  return index.blocksOf[facility].reduce((sum, b) => {
    const { block, metresBefore } = index.blocks[b];
    return sum + block.weightPerM * metresBefore[block.pieces.length];
  }, 0);
}

/** Takes candidates in order until nothing of the blocks is left to do or no candidate is left. */
function fill(chosen: Chosen, blocks: readonly number[], options: InsertOptions): void {
  let left = chosen.metresLeft(blocks);
  if (left <= LEFT_OVER_M) return;
  const list = candidates(chosen.state, chosen.facility, blocks, options, chosen);
  const lagged = hasLag(chosen.state.index, blocks);
  for (let next = 0; next < list.length && left > LEFT_OVER_M; ) {
    // As many as would do by their metres, then one by one: pieces do not fill a shift to the brim.
    let reach = 0;
    do {
      reach += list[next].metres;
      chosen.add(list[next++]);
    } while (next < list.length && reach < left);
    const before = left;
    left = chosen.metresLeft(blocks);
    if (lagged && left >= before) left = Math.min(left, LEAST_STEP_M);
  }
}

const LEFT_OVER_M = 1e-6;
const LEAST_STEP_M = 1e-3;

function candidates(
  state: PackingState,
  facility: number,
  blocks: readonly number[],
  options: InsertOptions,
  chosen: Chosen,
): Candidate[] {
  const { index } = state;
  const lagged = hasLag(index, blocks);
  const found: Candidate[] = [];
  const left = options.quota === null ? null : Float64Array.from(options.quota.closures);
  for (const slot of index.slotsOf[facility]) {
    if (lagged && index.slots[slot].window.startMinute < options.fromMinute) continue;
    const group = options.quota?.groupOfSlot[slot] ?? 0;
    const within = left !== null && left[group] > 0.5;
    const bias = options.bias(slot) * (within ? QUOTA_BIAS : 1);
    const candidate = candidateOf(state, { slot, blocks, mostCrews: options.mostCrews, bias, chosen });
    if (!candidate) continue;
    found.push(candidate);
    if (within) left[group] -= 1;
  }
  const start = (c: Candidate) => index.slots[c.slot].window.startMinute;
  // Within a quota lagged work takes its slots first too, in order of time.
  const rank = (c: Candidate) => (left === null || c.bias < 1 ? 0 : 1);
  return lagged
    ? found.sort((a, b) => rank(a) - rank(b) || start(a) - start(b) || a.key - b.key)
    : found.sort((a, b) => a.key - b.key || start(a) - start(b) || a.slot - b.slot);
}

interface Look {
  readonly slot: number;
  readonly blocks: readonly number[];
  readonly mostCrews: number;
  readonly bias: number;
  readonly chosen: Chosen;
}

function candidateOf(state: PackingState, { slot, blocks, mostCrews, bias, chosen }: Look): Candidate | null {
  const { index } = state;
  const taken = chosen.has(slot);
  if (!taken && (!state.mayClose(slot) || chosen.conflicts(slot))) return null;
  const supports = supportsFor(state, slot, blocks, chosen);
  if (!supports) return null;
  const { shiftFrom, shiftTo, facility, cost } = index.slots[slot];
  const crewShifts: CrewShift[] = [];
  let metres = 0;
  for (let shift = shiftFrom; shift < shiftTo; shift++) {
    const items = index.shifts[shift].items.filter(({ block }) => blocks.includes(block));
    if (items.length === 0) continue;
    let room = Math.min(index.facilities[facility].mostCrews, mostCrews);
    for (const [group, perM] of groupsByPace(index, items)) {
      const free = taken ? chosen.crewsIn(shift, group) : Math.min(room, state.crewsFree(group, shift));
      if (free <= 0) continue;
      room -= free;
      const net = items.reduce((most, { netMinutes }) => Math.max(most, netMinutes), 0);
      metres += (free * net) / perM;
      for (let k = 0; k < free && !taken; k++) crewShifts.push({ shift, group });
    }
  }
  if (metres <= 0) return null;
  const paid = taken || state.isClosed(slot);
  const support = supports.reduce((sum, s) => sum + index.slots[s].cost, 0);
  const toPay = (paid ? 0 : cost * bias) + support + crewShifts.length * index.problem.rules.crewShiftCost;
  return { slot, crewShifts, metres, supports, bias, key: toPay / metres };
}

/** Groups that can do any of the items, fastest first, with minutes for a metre through all of their passes. */
function groupsByPace(index: PackingIndex, items: readonly { block: number; pass: number }[]): [number, number][] {
  const paces: [number, number][] = [];
  index.groups.forEach(({ minutesPerM }, group) => {
    let [sum, count] = [0, 0];
    for (const { block, pass } of items) {
      const perM = minutesPerM[block][pass];
      if (!(perM >= 0)) continue;
      sum += perM;
      count += 1;
    }
    if (count > 0) paces.push([group, Math.max(sum / count, 1e-9)]);
  });
  return paces.sort((a, b) => a[1] - b[1] || a[0] - b[0]);
}

/** Slots to be closed so that blocks can be worked in a slot: none where all is closed already; null: not possible. */
function supportsFor(
  state: PackingState,
  slot: number,
  blocks: readonly number[],
  chosen: Chosen,
): readonly number[] | null {
  const { index } = state;
  const needed = new Set(blocks.flatMap((b) => index.blocks[b].requires));
  if (needed.size === 0) return [];
  const supports: number[] = [];
  const { shiftFrom, shiftTo } = index.slots[slot];
  for (const facility of needed)
    for (let shift = shiftFrom; shift < shiftTo; shift++) {
      if (state.coverOf(shift, facility, chosen.supports) !== null) continue;
      const all = [slot, ...chosen.slots, ...chosen.supports, ...supports];
      const cover = index
        .covers(shift, facility)
        .find((c) => state.mayClose(c) && !all.some((other) => other === c || index.conflicts[c].includes(other)));
      if (cover === undefined) return null;
      supports.push(cover);
    }
  return supports;
}
