import type { CrewShift, LaidWork } from './lay-work.ts';
import { FIXED_COVER, type PackingIndex } from './packing-index.ts';

/** Closures and crews of one facility, with the work laid into them. */
export interface FacilityPlan {
  readonly facility: number;
  /** By time; each has work. */ readonly crewShifts: readonly CrewShift[];
  readonly laid: LaidWork;
  /** Slots with work of this facility. */ readonly slots: readonly number[];
  /** Slots of other facilities that this one's work needs closed. */ readonly supports: readonly number[];
}

/** Score of a schedule while it is being made. More weight is better, then less cost. */
export interface Standing {
  readonly weight: number;
  readonly cost: number;
}

const TIE = 1e-9;

/**
 * Whether a is better than b. Weights and costs apart by rounding only are the same.
 * @param enough weight beyond which more does not count
 */
export function isBetter(a: Standing, b: Standing, enough = Number.POSITIVE_INFINITY): boolean {
  const [weightA, weightB] = [Math.min(a.weight, enough), Math.min(b.weight, enough)];
  const scale = 1 + Math.abs(weightB);
  if (weightA > weightB + TIE * scale) return true;
  return weightA >= weightB - TIE * scale && a.cost < b.cost - TIE * (1 + b.cost);
}

/** Which slots are closed, who is at work, and what it comes to, kept up to date as plans of facilities come and go. */
export class PackingState {
  readonly index: PackingIndex;
  readonly plans: (FacilityPlan | null)[];
  weight = 0;
  cost = 0;
  /** Reasons for a slot to be closed: own work and the work of others. */ private readonly closed: Int16Array;
  /** Closed slots that conflict with a slot. */ private readonly blocked: Int16Array;
  /** By group and crew point. */ private readonly crewsUsed: Int16Array[];

  constructor(index: PackingIndex) {
    this.index = index;
    this.plans = index.facilities.map(() => null);
    this.closed = new Int16Array(index.slots.length);
    this.blocked = new Int16Array(index.slots.length);
    this.crewsUsed = index.groups.map(() => new Int16Array(index.crewPoints.length));
  }

  get standing(): Standing {
    return { weight: this.weight, cost: this.cost };
  }

  isClosed(slot: number): boolean {
    return this.closed[slot] > 0;
  }

  mayClose(slot: number): boolean {
    return this.blocked[slot] === 0;
  }

  /** Crews of a group that could still be at work in a shift. */
  crewsFree(group: number, shift: number): number {
    const { pointFrom, pointTo, crewsFree } = this.index.shifts[shift];
    const used = this.crewsUsed[group];
    let most = 0;
    for (let point = pointFrom; point < pointTo; point++) if (used[point] > most) most = used[point];
    return Math.min(crewsFree[group], this.index.groups[group].crewIds.length - most);
  }

  /** A closed slot, or `FIXED_COVER`, that keeps a facility closed through a shift; null: none. */
  coverOf(shift: number, facility: number, extra?: ReadonlySet<number>): number | null {
    for (const slot of this.index.covers(shift, facility))
      if (slot === FIXED_COVER || this.closed[slot] > 0 || extra?.has(slot)) return slot;
    return null;
  }

  apply(plan: FacilityPlan): void {
    this.plans[plan.facility] = plan;
    this.weight += plan.laid.weight;
    for (const slot of plan.slots) this.close(slot);
    for (const slot of plan.supports) this.close(slot);
    this.count(plan.crewShifts, 1);
  }

  remove(facility: number): FacilityPlan | null {
    const plan = this.plans[facility];
    if (!plan) return null;
    this.plans[facility] = null;
    this.weight -= plan.laid.weight;
    for (const slot of plan.slots) this.open(slot);
    for (const slot of plan.supports) this.open(slot);
    this.count(plan.crewShifts, -1);
    return plan;
  }

  private count(crewShifts: readonly CrewShift[], sign: 1 | -1): void {
    const { shifts, problem } = this.index;
    for (const { shift, group } of crewShifts) {
      const { pointFrom, pointTo } = shifts[shift];
      for (let point = pointFrom; point < pointTo; point++) this.crewsUsed[group][point] += sign;
      this.cost += sign * problem.rules.crewShiftCost;
    }
  }

  private close(slot: number): void {
    this.closed[slot] += 1;
    if (this.closed[slot] > 1) return;
    this.cost += this.index.slots[slot].cost;
    for (const other of this.index.conflicts[slot]) this.blocked[other] += 1;
  }

  private open(slot: number): void {
    this.closed[slot] -= 1;
    if (this.closed[slot] > 0) return;
    this.cost -= this.index.slots[slot].cost;
    for (const other of this.index.conflicts[slot]) this.blocked[other] -= 1;
  }
}
