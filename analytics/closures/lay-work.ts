import type { PackingIndex, ShiftItem } from './packing-index.ts';

/** One crew in one shift. */
export interface CrewShift {
  /** Index into `PackingIndex.shifts`. */ readonly shift: number;
  /** Index into `PackingIndex.groups`. */ readonly group: number;
}

/** A run of pieces given to one crew in one shift. */
export interface LaidTask {
  /** Index into the crew-shifts that were laid. */ readonly crewShift: number;
  readonly block: number;
  readonly pass: number;
  /** First piece, and one past the last. */ readonly from: number;
  readonly to: number;
  readonly minutes: number;
  readonly netMinutes: number;
}

export interface LaidWork {
  readonly tasks: readonly LaidTask[];
  /** By block of the facility, in the order of `blocksOf`: pieces with all passes done. */
  readonly done: Int32Array;
  readonly weight: number;
}

/** Whether a facility is closed all through a shift. */
export type Covered = (shift: number, facility: number) => boolean;

/** Pieces opened in one shift that wait to be sealed. */
interface OpenRun {
  readonly from: number;
  readonly to: number;
  readonly crewShift: number;
  readonly slot: number;
  readonly readyMinute: number;
  readonly sealByMinute: number;
}

/** How far each block has come. Copied before each crew-shift, so that laying can go back. */
interface Progress {
  readonly opened: Int32Array;
  readonly queues: (readonly OpenRun[])[];
  readonly tasks: number;
}

const TOLERANCE = 1e-7;

/**
 * Lays the pieces of one facility's blocks, in order along the pavement, into crew-shifts in order of time. Each crew-shift
 * first seals what was opened before, then begins what it can. No more is opened than is sealed in time: where pieces would
 * be left open too long, laying goes back to the shift that opened them and opens fewer.
 */
export function layWork(
  index: PackingIndex,
  facility: number,
  crewShifts: readonly CrewShift[],
  covered: Covered,
): LaidWork {
  const own = index.blocksOf[facility];
  const lagged = own.some((b) => index.blocks[b].block.passes.length > 1);
  const laying: Laying = {
    index,
    own,
    crewShifts,
    covered,
    c: 0,
    opened: new Int32Array(own.length),
    queues: own.map(() => []),
    tasks: [],
    mostOpened: own.map(() => new Int32Array(lagged ? crewShifts.length : 0).fill(NO_LIMIT)),
    room: { netMinutes: [], used: [] },
  };
  const saved: Progress[] = [];
  for (; laying.c <= crewShifts.length; laying.c++) {
    if (lagged) goBackIfExpired(laying, saved);
    if (laying.c === crewShifts.length) break;
    if (lagged)
      saved[laying.c] = { opened: laying.opened.slice(), queues: [...laying.queues], tasks: laying.tasks.length };
    layCrewShift(laying);
  }
  let weight = 0;
  own.forEach((b, i) => {
    const { block, metresBefore } = index.blocks[b];
    weight += block.weightPerM * metresBefore[laying.opened[i]];
  });
  return { tasks: laying.tasks, done: laying.opened, weight };
}

const NO_LIMIT = 0x7fffffff;

/** Where a run of open pieces can no longer be sealed, goes back to the crew-shift that opened it, to open fewer. */
function goBackIfExpired(laying: Laying, saved: readonly Progress[]): void {
  const expired = firstExpired(laying);
  if (expired === null) return;
  const run = laying.queues[expired][0];
  laying.c = run.crewShift;
  const limits = laying.mostOpened;
  limits[expired][run.crewShift] = Math.min(limits[expired][run.crewShift], run.from);
  for (const limit of limits) limit.fill(NO_LIMIT, run.crewShift + 1);
  const { opened, queues, tasks } = saved[run.crewShift];
  laying.opened.set(opened);
  queues.forEach((queue, i) => {
    laying.queues[i] = queue;
  });
  laying.tasks.length = tasks;
}

/** The block whose oldest open run can no longer be sealed from the crew-shift at hand on, or null. */
function firstExpired({ index, queues, crewShifts, c }: Laying): number | null {
  for (let i = 0; i < queues.length; i++) {
    if (queues[i].length === 0) continue;
    if (c === crewShifts.length) return i;
    const shift = index.shifts[crewShifts[c].shift];
    const { sealByMinute, slot } = queues[i][0];
    if (shift.endMinute > sealByMinute || (slot >= 0 && slot !== shift.slot)) return i;
  }
  return null;
}

interface Laying {
  readonly index: PackingIndex;
  readonly own: readonly number[];
  readonly crewShifts: readonly CrewShift[];
  readonly covered: Covered;
  /** The crew-shift at hand. */ c: number;
  readonly opened: Int32Array;
  readonly queues: (readonly OpenRun[])[];
  readonly tasks: LaidTask[];
  /** By block and crew-shift: pieces that may have been begun by its end. */ readonly mostOpened: readonly Int32Array[];
  readonly room: Room;
}

function layCrewShift(laying: Laying): void {
  const { index, crewShifts, c, room, own, queues, opened } = laying;
  const { shift, group } = crewShifts[c];
  room.netMinutes.length = 0;
  room.used.length = 0;
  for (const item of index.shifts[shift].items) {
    const i = own.indexOf(item.block);
    if (item.pass > 0 ? queues[i].length === 0 : opened[i] === index.blocks[item.block].block.pieces.length) continue;
    if (!(index.groups[group].minutesPerM[item.block][item.pass] >= 0)) continue;
    if (!isCovered(laying, item)) continue;
    if (item.pass > 0) sealOpenRuns(laying, item, i);
    else begin(laying, item, i);
  }
}

function isCovered({ index, covered, crewShifts, c }: Laying, { block }: ShiftItem): boolean {
  for (const facility of index.blocks[block].requires) if (!covered(crewShifts[c].shift, facility)) return false;
  return true;
}

function sealOpenRuns(laying: Laying, item: ShiftItem, i: number): void {
  const { index, crewShifts, c, queues } = laying;
  const shift = index.shifts[crewShifts[c].shift];
  while (queues[i].length > 0) {
    const run = queues[i][0];
    if (run.readyMinute > shift.startMinute || run.sealByMinute < shift.endMinute) return;
    if (run.slot >= 0 && run.slot !== shift.slot) return;
    const to = take(laying, item, run.from, run.to);
    if (to === run.from) return;
    const rest = queues[i].slice(1);
    queues[i] = to === run.to ? rest : [{ ...run, from: to }, ...rest];
    if (to < run.to) return;
  }
}

function begin(laying: Laying, item: ShiftItem, i: number): void {
  const { index, crewShifts, c, opened, queues, mostOpened } = laying;
  const { block } = index.blocks[item.block];
  const from = opened[i];
  const lag = block.passes[1]?.afterPrevious;
  const most = lag ? Math.min(block.pieces.length, mostOpened[i][c]) : block.pieces.length;
  const to = take(laying, item, from, most);
  if (to <= from) return;
  opened[i] = to;
  if (!lag) return;
  const { endMinute, slot } = index.shifts[crewShifts[c].shift];
  const run: OpenRun = {
    from,
    to,
    crewShift: c,
    slot: lag.sameClosure ? slot : -1,
    readyMinute: endMinute + lag.leastMinutes,
    sealByMinute: endMinute + lag.mostMinutes,
  };
  queues[i] = [...queues[i], run];
}

/** Minutes used in a crew-shift by limit: what must end sooner is done first. */
interface Room {
  readonly netMinutes: number[];
  readonly used: number[];
}

/** Gives as many pieces of [from, most) to the crew as it has time for; answers one past the last. */
function take(laying: Laying, item: ShiftItem, from: number, most: number): number {
  if (from >= most) return from;
  const { index, crewShifts, c, tasks, room } = laying;
  const { block, pass, netMinutes } = item;
  const { metresBefore } = index.blocks[block];
  const perM = index.groups[crewShifts[c].group].minutesPerM[block][pass];
  const to = lastWithin(metresBefore, from, most, (minutesFree(room, netMinutes) + TOLERANCE) / perM);
  if (to === from) return from;
  const minutes = (metresBefore[to] - metresBefore[from]) * perM;
  const level = room.netMinutes.indexOf(netMinutes);
  if (level >= 0) room.used[level] += minutes;
  else {
    room.netMinutes.push(netMinutes);
    room.used.push(minutes);
  }
  const last = tasks.at(-1);
  // Runs that follow one another in the same crew-shift are one task.
  if (last && last.crewShift === c && last.block === block && last.pass === pass && last.to === from)
    tasks[tasks.length - 1] = { ...last, to, minutes: last.minutes + minutes };
  else tasks.push({ crewShift: c, block, pass, from, to, minutes, netMinutes });
  return to;
}

/** Minutes left for work with a limit: neither it nor what has a later limit may end too late. */
function minutesFree({ netMinutes, used }: Room, limit: number): number {
  let free = limit - usedUpTo(netMinutes, used, limit);
  for (const later of netMinutes) if (later > limit) free = Math.min(free, later - usedUpTo(netMinutes, used, later));
  return free;
}

function usedUpTo(netMinutes: readonly number[], used: readonly number[], limit: number): number {
  let sum = 0;
  for (let i = 0; i < netMinutes.length; i++) if (netMinutes[i] <= limit) sum += used[i];
  return sum;
}

/** Furthest piece, at most `most`, such that the run from `from` to it is no longer than `metres`. */
function lastWithin(metresBefore: Float64Array, from: number, most: number, metres: number): number {
  let [low, high] = [from, most];
  const limit = metresBefore[from] + metres;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (metresBefore[middle] <= limit) low = middle;
    else high = middle - 1;
  }
  return low;
}
