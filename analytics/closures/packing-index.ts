import { cliquePoints, pointsWithin } from './clique-points.ts';
import type { ClosureWindow, PackingProblem, PlanFacility, Shift, WorkBlock } from './closure-plan.ts';
import { MINUTES_PER_DAY } from './closure-plan.ts';
import { type CrewGroup, crewGroups, crewsFreeIn } from './crew-groups.ts';
import { shiftMinutes } from './shift-minutes.ts';
import { whyBarred } from './window-rules.ts';

/** A block with what laying its pieces looks up. */
export interface IndexedBlock {
  readonly block: WorkBlock;
  readonly index: number;
  readonly facility: number;
  /** Metres before each piece; the last entry is the whole length. */ readonly metresBefore: Float64Array;
  readonly requires: readonly number[];
}

/** One pass of one block that may be worked in a shift. */
export interface ShiftItem {
  readonly block: number;
  readonly pass: number;
  readonly netMinutes: number;
}

/** A shift of a usable window. */
export interface SlotShift {
  readonly slot: number;
  /** Index in the window. */ readonly number: number;
  readonly startMinute: number;
  readonly endMinute: number;
  readonly workStartMinute: number;
  /** In the order in which a crew takes them up. */ readonly items: readonly ShiftItem[];
  /** Range of `crewPoints` in which a crew at work here is busy, rest included. */
  readonly pointFrom: number;
  readonly pointTo: number;
  /** Crews of each group that are free of other duties. */ readonly crewsFree: Int16Array;
}

/** A window that may be used, of one facility. */
export interface Slot {
  readonly index: number;
  readonly facility: number;
  readonly window: ClosureWindow;
  /** What a closure in it counts. */ readonly cost: number;
  readonly week: number;
  /** Range of `shifts`. */ readonly shiftFrom: number;
  readonly shiftTo: number;
}

export interface PackingIndex {
  readonly problem: PackingProblem;
  readonly facilities: readonly PlanFacility[];
  readonly blocks: readonly IndexedBlock[];
  readonly blocksOf: readonly (readonly number[])[];
  readonly groups: readonly CrewGroup[];
  readonly slots: readonly Slot[];
  /** By facility, by start. */ readonly slotsOf: readonly (readonly number[])[];
  readonly shifts: readonly SlotShift[];
  /** Slots that may not be closed together with a slot. */ readonly conflicts: readonly Int32Array[];
  /** Times at which the crews at work are counted. */ readonly crewPoints: Float64Array;
  readonly excluded: readonly (readonly number[])[];
  /** Slots of a facility that last through a shift; `FIXED_COVER` alone where a fixed closure does. */
  readonly covers: (shift: number, facility: number) => readonly number[];
  /** Weight of all work. */ readonly totalWeight: number;
}

const WEEK = 7 * MINUTES_PER_DAY;

/** Looks up once what packing asks again and again. The problem must have passed `checkPackingProblem`. */
export function packingIndex(problem: PackingProblem): PackingIndex {
  const numberOf = new Map(problem.facilities.map(({ id }, i) => [id, i]));
  const at = (id: string) => numberOf.get(id) as number;
  const excluded = excludedBy(problem, at);
  const blocks = problem.blocks.map((block, index) => indexedBlock(block, index, at));
  const blocksOf = problem.facilities.map((_, f) => blocks.filter((b) => b.facility === f).map((b) => b.index));
  const groups = crewGroups(problem);
  const usable = usableWindows(problem, blocks, at, excluded);
  const { slots, shifts, crewPoints } = slotsAndShifts(problem, usable, blocks, blocksOf, groups);
  const slotsOf = problem.facilities.map((_, f) => slots.filter((s) => s.facility === f).map((s) => s.index));
  return {
    problem,
    facilities: problem.facilities,
    blocks,
    blocksOf,
    groups,
    slots,
    slotsOf,
    shifts,
    crewPoints,
    excluded,
    conflicts: conflictsOf(slots, slotsOf, excluded),
    covers: coverLookup(problem, { slots, slotsOf, shifts }),
    totalWeight: blocks.reduce(
      (sum, { block, metresBefore }) => sum + block.weightPerM * metresBefore[block.pieces.length],
      0,
    ),
  };
}

function excludedBy(problem: PackingProblem, at: (id: string) => number): number[][] {
  const excluded = problem.facilities.map(() => new Set<number>());
  for (const { facilityIds } of problem.exclusions) {
    const [a, b] = facilityIds.map(at);
    excluded[a].add(b);
    excluded[b].add(a);
  }
  return excluded.map((others) => [...others].sort((a, b) => a - b));
}

function indexedBlock(block: WorkBlock, index: number, at: (id: string) => number): IndexedBlock {
  const metresBefore = new Float64Array(block.pieces.length + 1);
  block.pieces.forEach(({ lengthM }, i) => {
    metresBefore[i + 1] = metresBefore[i] + lengthM;
  });
  return { block, index, facility: at(block.facilityId), metresBefore, requires: block.requiresClosed.map(at) };
}

/** Windows that no date bars and no fixed closure takes, by start and then facility. */
function usableWindows(
  problem: PackingProblem,
  blocks: readonly IndexedBlock[],
  at: (id: string) => number,
  excluded: readonly (readonly number[])[],
): ClosureWindow[] {
  const needed = new Set(blocks.flatMap(({ facility, requires }) => [facility, ...requires]));
  const fixed = problem.facilities.map((_, f) =>
    problem.fixed.filter(({ facilityId }) => at(facilityId) === f || excluded[f].includes(at(facilityId))),
  );
  const free = problem.windows.filter((window) => {
    const f = at(window.facilityId);
    return (
      needed.has(f) &&
      whyBarred(problem, problem.facilities[f], window) === null &&
      !fixed[f].some((closure) => overlap(closure, window))
    );
  });
  return free.sort((a, b) => a.startMinute - b.startMinute || at(a.facilityId) - at(b.facilityId));
}

export const overlap = (
  a: { readonly startMinute: number; readonly endMinute: number },
  b: { readonly startMinute: number; readonly endMinute: number },
): boolean => a.startMinute < b.endMinute && b.startMinute < a.endMinute;

function slotsAndShifts(
  problem: PackingProblem,
  windows: readonly ClosureWindow[],
  blocks: readonly IndexedBlock[],
  blocksOf: readonly (readonly number[])[],
  groups: readonly CrewGroup[],
) {
  const numberOf = new Map(problem.facilities.map(({ id }, i) => [id, i]));
  const crewPoints = cliquePoints(windows.flatMap((window) => window.shifts.map((shift) => atWork(problem, shift))));
  const slotCost = slotCosts(problem);
  const slots: Slot[] = [];
  const shifts: SlotShift[] = [];
  const freeAt = new Map<string, Int16Array>();
  for (const window of windows) {
    const facility = numberOf.get(window.facilityId) as number;
    const shiftFrom = shifts.length;
    const gates = new Set<string>();
    window.shifts.forEach((shift, number) => {
      const [pointFrom, pointTo] = pointsWithin(crewPoints, atWork(problem, shift));
      const key = `${shift.startMinute}/${shift.endMinute}`;
      const crewsFree = freeAt.get(key) ?? crewsFreeIn(problem, groups, shift);
      freeAt.set(key, crewsFree);
      const items = blocksOf[facility]
        .flatMap((b) => itemsOf(problem, blocks[b], window, number))
        .sort(byUrgency(blocks));
      for (const { block } of items) gates.add(blocks[block].block.gateId);
      const workStartMinute = shiftMinutes(problem.facilities[facility], window, number, NOTHING).startMinute;
      shifts.push({ ...shift, slot: slots.length, number, workStartMinute, items, pointFrom, pointTo, crewsFree });
    });
    const chance = [...gates].reduce((least, gate) => Math.min(least, window.chanceByGate[gate] ?? 1), 1);
    const { cost, week } = slotCost(problem.facilities[facility], window, chance);
    slots.push({ index: slots.length, facility, window, cost, week, shiftFrom, shiftTo: shifts.length });
  }
  return { slots, shifts, crewPoints };
}

/** The time in which a crew that works a shift can work no other. */
const atWork = (problem: PackingProblem, shift: Shift): Shift => ({
  startMinute: shift.startMinute,
  endMinute: shift.endMinute + problem.rules.restMinutes,
});

/** What a closure counts: more when it is late, in whole weeks; more when weather may spoil it; less when it was planned. */
function slotCosts({ rules, windows, previous }: PackingProblem) {
  const start = windows.reduce((least, window) => Math.min(least, window.startMinute), Number.POSITIVE_INFINITY);
  const end = windows.reduce((most, window) => Math.max(most, window.startMinute), start);
  const lastWeek = Math.floor((end - start) / WEEK);
  const before = new Set(previous.map(keyOf));
  return ({ closureCost }: PlanFacility, window: ClosureWindow, chance: number) => {
    const week = Math.floor((window.startMinute - start) / WEEK);
    const lateness = 1 + (lastWeek > 0 ? (rules.latenessWeight * week) / lastWeek : 0);
    const kept = before.has(keyOf(window)) ? 1 - rules.keepWeight : 1;
    return { week, cost: (closureCost * lateness * kept) / Math.max(chance, LEAST_CHANCE) };
  };
}

const NOTHING = { insideWaitMinutes: 0, openingMinutes: 0 };
/** A closure counts 1 / chance: the attempts it takes. Below this it counts no more. */
const LEAST_CHANCE = 0.05;

export const keyOf = (key: { facilityId: string; startMinute: number; endMinute: number }): string =>
  `${key.facilityId}/${key.startMinute}/${key.endMinute}`;

/** Passes of a block that may be worked in a shift of a window. */
function itemsOf(problem: PackingProblem, indexed: IndexedBlock, window: ClosureWindow, number: number): ShiftItem[] {
  const { block } = indexed;
  const shift = window.shifts[number];
  if ((window.chanceByGate[block.gateId] ?? 1) < problem.rules.leastChance) return [];
  if (block.earliestMinute !== null && shift.startMinute < block.earliestMinute) return [];
  if (block.latestMinute !== null && shift.endMinute > block.latestMinute) return [];
  const facility = problem.facilities[indexed.facility];
  return block.passes.flatMap((pass, p) => {
    const { netMinutes } = shiftMinutes(facility, window, number, pass);
    return netMinutes > 0 ? { block: indexed.index, pass: p, netMinutes } : [];
  });
}

/**
 * Order in which a crew takes up work: what is open is sealed first; then what needs another facility closed, what must be
 * done soonest, what is worth most.
 */
const byUrgency = (blocks: readonly IndexedBlock[]) => (a: ShiftItem, b: ShiftItem) => {
  const [first, second] = [blocks[a.block], blocks[b.block]];
  const latest = ({ block }: IndexedBlock) => block.latestMinute ?? Number.MAX_SAFE_INTEGER;
  return (
    b.pass - a.pass ||
    second.requires.length - first.requires.length ||
    latest(first) - latest(second) ||
    second.block.weightPerM - first.block.weightPerM ||
    a.block - b.block
  );
};

/** Overlapping slots of one facility, and of facilities that exclude one another. */
function conflictsOf(
  slots: readonly Slot[],
  slotsOf: readonly (readonly number[])[],
  excluded: readonly (readonly number[])[],
): Int32Array[] {
  const found = slots.map((): number[] => []);
  slotsOf.forEach((own, f) => {
    for (const g of [f, ...excluded[f].filter((other) => other > f)]) {
      let first = 0;
      for (const a of own) {
        const { window } = slots[a];
        // Slots are in order of start, not of end: step over only what has ended for every later slot too.
        while (first < slotsOf[g].length && longGone(slots[slotsOf[g][first]].window, window)) first++;
        for (let i = first; i < slotsOf[g].length; i++) {
          const b = slotsOf[g][i];
          if (slots[b].window.startMinute >= window.endMinute) break;
          if (b === a || (g === f && b < a) || !overlap(slots[b].window, window)) continue;
          found[a].push(b);
          found[b].push(a);
        }
      }
    }
  });
  return found.map((list) => Int32Array.from(list));
}

const longGone = (earlier: ClosureWindow, later: ClosureWindow): boolean => earlier.endMinute <= later.startMinute;

/** Stands for a fixed closure among the slots that keep a facility closed. */
export const FIXED_COVER = -1;

/** Slots of a facility that last through a shift, looked up once each; `FIXED_COVER` alone where a fixed closure does. */
function coverLookup(problem: PackingProblem, index: Pick<PackingIndex, 'slots' | 'slotsOf' | 'shifts'>) {
  const known = new Map<number, readonly number[]>();
  return (shift: number, facility: number): readonly number[] => {
    const key = shift * problem.facilities.length + facility;
    const found = known.get(key) ?? coversOf(problem, index, index.shifts[shift], facility);
    known.set(key, found);
    return found;
  };
}

function coversOf(
  problem: PackingProblem,
  { slots, slotsOf }: Pick<PackingIndex, 'slots' | 'slotsOf'>,
  shift: { readonly startMinute: number; readonly endMinute: number },
  facility: number,
): readonly number[] {
  const lasts = (closure: { readonly startMinute: number; readonly endMinute: number }) =>
    closure.startMinute <= shift.startMinute && closure.endMinute >= shift.endMinute;
  const { id } = problem.facilities[facility];
  if (problem.fixed.some((closure) => closure.facilityId === id && lasts(closure))) return [FIXED_COVER];
  return slotsOf[facility].filter((slot) => lasts(slots[slot].window));
}
