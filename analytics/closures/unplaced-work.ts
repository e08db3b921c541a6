import type { StoppingRule, UnplacedWork } from './closure-plan.ts';
import type { IndexedBlock, PackingIndex } from './packing-index.ts';
import type { PackingState } from './packing-state.ts';
import { shiftMinutes } from './shift-minutes.ts';
import { whyBarred } from './window-rules.ts';

/** What has no closure, block by block, with the rule that stops it: the first that would hold even with all else undone. */
export function unplacedWork(index: PackingIndex, state: PackingState): UnplacedWork[] {
  return index.blocks.flatMap((indexed) => {
    const { block, metresBefore, facility } = indexed;
    const at = index.blocksOf[facility].indexOf(indexed.index);
    const done = state.plans[facility]?.laid.done[at] ?? 0;
    if (done >= block.pieces.length) return [];
    const pieceIds = block.pieces.slice(done).map(({ id }) => id);
    const lengthM = metresBefore[block.pieces.length] - metresBefore[done];
    return { blockId: block.id, pieceIds, lengthM, ...whyUnplaced(index, state, indexed, done) };
  });
}

interface Stop {
  readonly rule: StoppingRule;
  readonly reason: string;
}

function whyUnplaced(index: PackingIndex, state: PackingState, indexed: IndexedBlock, done: number): Stop {
  return (
    whyNoWindow(index, indexed) ??
    whyNoShift(index, indexed, done) ??
    whySupportMissing(index, indexed) ??
    whyTaken(index, state, indexed)
  );
}

/** Dates and weather: no window of the facility is left for this work at all. */
function whyNoWindow(index: PackingIndex, { block, facility }: IndexedBlock): Stop | null {
  const { problem } = index;
  const own = problem.windows.filter(({ facilityId }) => facilityId === block.facilityId);
  const { name } = index.facilities[facility];
  if (own.length === 0) return { rule: 'no-window', reason: `${name} has no window in which it may close.` };
  const barred = own.map((window) => whyBarred(problem, index.facilities[facility], window));
  const free = own.filter((_, i) => barred[i] === null);
  if (free.length === 0) {
    const rule = barred[0]?.rule ?? 'barred';
    return { rule, reason: `${barred[0]?.reason ?? name}; that bars all of its ${own.length} windows.` };
  }
  const inTime = free.filter(
    ({ startMinute, endMinute }) =>
      startMinute >= (block.earliestMinute ?? Number.NEGATIVE_INFINITY) &&
      endMinute <= (block.latestMinute ?? Number.POSITIVE_INFINITY),
  );
  if (inTime.length === 0)
    return { rule: 'no-window', reason: `No window of ${name} lies between the dates of this work.` };
  const { leastChance } = problem.rules;
  const fair = inTime.filter(({ chanceByGate }) => (chanceByGate[block.gateId] ?? 1) >= leastChance);
  if (fair.length > 0) return null;
  const percent = Math.round(100 * leastChance);
  return {
    rule: 'weather',
    reason: `No window of ${name} has a ${percent} % chance of workable weather for this work.`,
  };
}

/** Time and crews: the next piece fits no shift, or no crew can do it. */
function whyNoShift(index: PackingIndex, indexed: IndexedBlock, done: number): Stop | null {
  const { block, facility } = indexed;
  const { name } = index.facilities[facility];
  const piece = block.pieces[done];
  for (const pass of block.passes) {
    const paces = Object.values(pass.minutesPerM);
    if (paces.length === 0) return { rule: 'no-crew', reason: `No crew can do the ${pass.kind} pass of this work.` };
    const needed = piece.lengthM * Math.min(...paces);
    const longest = index.problem.windows.reduce((most, window) => {
      if (window.facilityId !== block.facilityId) return most;
      const nets = window.shifts.map((_, s) => shiftMinutes(index.facilities[facility], window, s, pass).netMinutes);
      return Math.max(most, ...nets);
    }, 0);
    if (needed <= longest + 1e-6) continue;
    const told = `${piece.id} takes ${Math.ceil(needed)} min of the ${pass.kind} pass`;
    return {
      rule: 'window-too-short',
      reason: `${told}; the longest shift at ${name} leaves ${Math.floor(longest)} min.`,
    };
  }
  const able = index.slotsOf[facility].some((slot) => hasCrewFor(index, slot, indexed.index));
  return able ? null : { rule: 'no-crew', reason: `No crew that can do this work is free in any window of ${name}.` };
}

function hasCrewFor(index: PackingIndex, slot: number, block: number): boolean {
  const { shiftFrom, shiftTo } = index.slots[slot];
  for (let shift = shiftFrom; shift < shiftTo; shift++) {
    const { items, crewsFree } = index.shifts[shift];
    for (const item of items)
      if (item.block === block)
        for (const [g, { minutesPerM }] of index.groups.entries())
          if (crewsFree[g] > 0 && minutesPerM[block][item.pass] >= 0) return true;
  }
  return false;
}

/** A facility that must be closed as well can never be closed at the same time. */
function whySupportMissing(index: PackingIndex, { facility, requires, index: b }: IndexedBlock): Stop | null {
  for (const required of requires) {
    const possible = index.slotsOf[facility].some((slot) => {
      const { shiftFrom, shiftTo } = index.slots[slot];
      for (let shift = shiftFrom; shift < shiftTo; shift++) {
        if (!index.shifts[shift].items.some(({ block }) => block === b)) continue;
        if (index.covers(shift, required).some((cover) => cover < 0 || !index.conflicts[cover].includes(slot)))
          return true;
      }
      return false;
    });
    if (possible) continue;
    const [own, other] = [index.facilities[facility].name, index.facilities[required].name];
    return {
      rule: 'closure-not-possible',
      reason: `${other} must be closed for this work at ${own}, and never can be then.`,
    };
  }
  return null;
}

/** Windows there are, but others have them: by exclusion, by crews, or all are used. */
function whyTaken(index: PackingIndex, state: PackingState, { facility, index: b }: IndexedBlock): Stop {
  const { name } = index.facilities[facility];
  let [used, excluded, crewless] = [0, 0, 0];
  const by = new Set<string>();
  for (const slot of index.slotsOf[facility]) {
    if (!hasCrewFor(index, slot, b)) continue;
    if (state.plans[facility]?.slots.includes(slot)) used += 1;
    else if (!state.mayClose(slot)) {
      excluded += 1;
      for (const other of index.conflicts[slot])
        if (state.isClosed(other)) by.add(index.slots[other].window.facilityId);
    } else crewless += 1;
  }
  by.delete(index.facilities[facility].id);
  if (crewless >= excluded && crewless > 0)
    return { rule: 'crews-busy', reason: `In ${crewless} more windows of ${name} every crew for this work is busy.` };
  if (excluded > 0 && by.size > 0) {
    const others = [...by].map((id) => index.facilities.find((f) => f.id === id)?.name ?? id).join(', ');
    return {
      rule: 'exclusion',
      reason: `${name} may not close in ${excluded} more windows, in which ${others} ${by.size === 1 ? 'is' : 'are'} closed.`,
    };
  }
  return { rule: 'windows-used-up', reason: `All ${used} windows of ${name} for this work are used.` };
}
