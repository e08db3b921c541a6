import { cliquePoints, pointsWithin } from './clique-points.ts';
import { MINUTES_PER_DAY } from './closure-plan.ts';
import type { PackingIndex, SlotShift } from './packing-index.ts';

/** Slots of one facility in one period that hold the same work. One slot each where periods are not used. */
export interface SlotGroup {
  readonly facility: number;
  readonly period: number;
  readonly slots: readonly number[];
  /** Least cost of its slots. */ readonly cost: number;
  /** Shifts of the first slot, which stand for all. */ readonly shifts: readonly SlotShift[];
}

/** Times at which closures (or crews) are counted, put together by period. */
export interface Buckets {
  /** By group: how many of a bucket's times each of its slots takes, at least. */
  readonly takenBy: readonly ReadonlyMap<number, number>[];
  /** By bucket and facility: times that a facility could take. */
  readonly timesOf: readonly (readonly Set<number>[])[];
  readonly count: number;
}

export interface SlotGroups {
  readonly groups: readonly SlotGroup[];
  readonly ofFacility: readonly (readonly number[])[];
  readonly groupOfSlot: Int32Array;
  /** Closures, from start to end. */ readonly closures: Buckets;
  /** By group and shift: what crews at work take of the crew buckets. */
  readonly crewTaken: readonly (readonly ReadonlyMap<number, number>[])[];
  readonly crewBuckets: readonly number[];
  readonly periods: number;
  readonly periodOf: (minute: number) => number;
  /** Whether each slot is a group of its own, so that nothing is lost. */ readonly exact: boolean;
}

/** @param periodDays length of a period; 0: each slot by itself */
export function slotGroups(index: PackingIndex, periodDays: number): SlotGroups {
  const exact = periodDays === 0;
  const start = index.slots.reduce(
    (least, { window }) => Math.min(least, window.startMinute),
    Number.POSITIVE_INFINITY,
  );
  const end = index.slots.reduce((most, { window }) => Math.max(most, window.endMinute), start);
  const span = Math.max(1, periodDays) * MINUTES_PER_DAY;
  const periodOf = (minute: number) => Math.floor((Math.min(Math.max(minute, start), end) - start) / span);
  const groupOfSlot = new Int32Array(index.slots.length);
  const numbers = new Map<string, number>();
  const members: number[][] = [];
  for (const slot of index.slots) {
    const period = periodOf(slot.window.startMinute);
    const key = exact ? String(slot.index) : `${slot.facility}/${period}/${shapeOf(index, slot.index)}`;
    const number = numbers.get(key) ?? members.length;
    numbers.set(key, number);
    if (number === members.length) members.push([]);
    members[number].push(slot.index);
    groupOfSlot[slot.index] = number;
  }
  const groups = members.map((slots): SlotGroup => {
    const first = index.slots[slots[0]];
    return {
      facility: first.facility,
      period: periodOf(first.window.startMinute),
      slots,
      cost: slots.reduce((least, s) => Math.min(least, index.slots[s].cost), Number.POSITIVE_INFINITY),
      shifts: index.shifts.slice(first.shiftFrom, first.shiftTo),
    };
  });
  const points = cliquePoints(index.slots.map(({ window }) => window));
  const bucketOf = (all: Float64Array) => (point: number) => (exact ? point : periodOf(all[point]));
  return {
    groups,
    ofFacility: index.facilities.map((_, f) => groups.flatMap((group, g) => (group.facility === f ? g : []))),
    groupOfSlot,
    closures: closureBuckets(index, groups, points, bucketOf(points)),
    ...crewBuckets(index, groups, bucketOf(index.crewPoints)),
    periods: periodOf(end) + 1,
    periodOf,
    exact,
  };
}

/** What two slots of a facility must share to stand for one another. */
function shapeOf(index: PackingIndex, slot: number): string {
  const { shiftFrom, shiftTo, window } = index.slots[slot];
  const shifts = index.shifts
    .slice(shiftFrom, shiftTo)
    .map(({ items, crewsFree, startMinute }) => [
      startMinute - window.startMinute,
      items.map(({ block, pass, netMinutes }) => [block, pass, netMinutes]),
      [...crewsFree],
    ]);
  return JSON.stringify([window.endMinute - window.startMinute, shifts]);
}

function closureBuckets(
  index: PackingIndex,
  groups: readonly SlotGroup[],
  points: Float64Array,
  bucketOf: (point: number) => number,
): Buckets {
  const count = points.length === 0 ? 0 : bucketOf(points.length - 1) + 1;
  const timesOf = Array.from({ length: count }, () => index.facilities.map(() => new Set<number>()));
  const takenBy = groups.map(({ facility, slots }) =>
    least(
      slots.map((slot) => {
        const [from, to] = pointsWithin(points, index.slots[slot].window);
        for (let point = from; point < to; point++) timesOf[bucketOf(point)][facility].add(point);
        return taken(from, to, bucketOf);
      }),
    ),
  );
  return { takenBy, timesOf, count };
}

function crewBuckets(index: PackingIndex, groups: readonly SlotGroup[], bucketOf: (point: number) => number) {
  const { crewPoints, shifts, slots } = index;
  const buckets: number[] = [];
  for (let point = 0; point < crewPoints.length; point++)
    buckets[bucketOf(point)] = (buckets[bucketOf(point)] ?? 0) + 1;
  const crewTaken = groups.map((group) =>
    group.shifts.map((_, i) =>
      least(
        group.slots.map((slot) => {
          const { pointFrom, pointTo } = shifts[slots[slot].shiftFrom + i];
          return taken(pointFrom, pointTo, bucketOf);
        }),
      ),
    ),
  );
  return { crewTaken, crewBuckets: Array.from(buckets, (count) => count ?? 0) };
}

function taken(from: number, to: number, bucketOf: (point: number) => number): Map<number, number> {
  const counts = new Map<number, number>();
  for (let point = from; point < to; point++) counts.set(bucketOf(point), (counts.get(bucketOf(point)) ?? 0) + 1);
  return counts;
}

/** The least count of each bucket over all maps; a bucket that one lacks is left out. */
function least(maps: readonly ReadonlyMap<number, number>[]): Map<number, number> {
  const found = new Map(maps[0]);
  for (const map of maps)
    for (const [bucket, count] of found) {
      const other = map.get(bucket);
      if (other === undefined) found.delete(bucket);
      else found.set(bucket, Math.min(count, other));
    }
  return found;
}
