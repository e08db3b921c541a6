import { WORK } from '../program-problem.ts';
import type { PathTables } from './path-tables.ts';
import { NO_WORK, type PlanState } from './plan-state.ts';
import { RowIndex } from './row-index.ts';

export interface RoomRules {
  /** A year that may have no work, or -1. */ readonly bar: number;
  /** A year whose mobilisation is paid already, or -1. */ readonly paid: number;
  /** A year that must have work if it can, or -1. */ readonly force: number;
  /** Part of the rows' weights at which failed length counts. */ readonly failedPart: number;
}

/** A forced year is paid so many mean prices of resealing. */
const PRIZE = 1e7;

/**
 * Best path of one segment when a row costs its weight for what is over it, and nothing below: each class in each year is
 * charged for what it would itself put over. Slower than `SegmentResponse`, and sees how much room there is.
 */
export class RoomResponse {
  readonly #tables: PathTables;
  readonly #state: PlanState;
  readonly #index: RowIndex;
  readonly #weights: Float64Array;
  readonly classes: Int8Array;
  /** Cost of one metre failed in each year. */ readonly #open: Float64Array;
  /** Row-major, years x classes: cost of work, money. */ readonly #work: Float64Array;
  readonly #toGo: Float64Array;
  readonly #next: Int8Array;
  readonly #class: Int8Array;
  readonly #none: Int8Array;

  /** @param weights of the rows, and last of all jobs that lack length; may be changed between calls */
  constructor(tables: PathTables, state: PlanState, weights: Float64Array) {
    const { years, types } = tables.problem;
    this.#tables = tables;
    this.#state = state;
    this.#weights = weights;
    this.#index = new RowIndex(tables.rows);
    [this.#open, this.#toGo] = [new Float64Array(years), new Float64Array(years + 1)];
    this.#work = new Float64Array(years * types.classes);
    [this.classes, this.#next, this.#class] = [0, 0, 0].map(() => new Int8Array(years));
    this.#none = new Int8Array(years).fill(NO_WORK);
  }

  /** Takes the segment out of the plan and writes its best path to `classes`. @returns whether there is one */
  find(p: number, rules: RoomRules): boolean {
    this.#state.set(p, this.#none);
    const { problem, layout, discount, countsRisk } = this.#tables;
    const { years, types, failedByYearEnd, lengthM } = problem;
    const i = layout.order[p];
    const { type, end, required } = layout.groups[layout.group[p]];
    const openCost = countsRisk ? types.openCostPerMYear[type] : 0;
    for (let t = 0; t < end; t++) {
      this.#open[t] = (openCost * discount[t] + this.#failedWeight(i, t, rules.failedPart)) * lengthM[i];
      this.#workCosts(p, i, t, rules);
    }
    const hasFinal = countsRisk && end === years;
    this.#backward(i, end, required, hasFinal);
    let [open, best, at] = [0, Number.POSITIVE_INFINITY, years];
    const lastFirst = required.length > 0 ? required[0] : end;
    for (let t = 0; t < end; t++) {
      if (t <= lastFirst && open + this.#toGo[t] < best) [best, at] = [open + this.#toGo[t], t];
      open += this.#open[t] * failedByYearEnd[i * years + t];
    }
    if (hasFinal) open += problem.finalCostIfNeverPerM[i] * lengthM[i];
    if (required.length === 0 && open <= best) [best, at] = [open, years];
    this.classes.fill(NO_WORK);
    for (; at < years; at = this.#next[at]) this.classes[at] = this.#class[at];
    return best < Number.POSITIVE_INFINITY;
  }

  #backward(i: number, end: number, required: readonly number[], hasFinal: boolean): void {
    const { problem, discount } = this.#tables;
    const { years, types, type, lengthM } = problem;
    for (let t = end - 1; t >= 0; t--) {
      this.#toGo[t] = Number.POSITIVE_INFINITY;
      const next = required.find((year) => year > t) ?? years;
      for (let c = 0; c < types.classes; c++) {
        let cost = this.#work[t * types.classes + c];
        if (cost === Number.POSITIVE_INFINITY) continue;
        const k = type[i] * types.classes + c;
        const curve = types.curve[k] * (types.oldestAge + 1);
        for (let u = t + 1; u < end && u <= next; u++) {
          if (cost + this.#toGo[u] < this.#toGo[t]) this.#keep(t, cost + this.#toGo[u], u, c);
          cost += this.#open[u] * types.failedByAge[curve + Math.min(u - t, types.oldestAge)];
        }
        if (next < years) continue;
        const final = types.finalCostPerM[k * (years + 1) + years - 1 - t] * discount[years - 1] * lengthM[i];
        if (hasFinal) cost += final;
        if (cost < this.#toGo[t]) this.#keep(t, cost, years, c);
      }
    }
  }

  #keep(t: number, cost: number, next: number, c: number): void {
    this.#toGo[t] = cost;
    this.#next[t] = next;
    this.#class[t] = c;
  }

  #failedWeight(i: number, t: number, part: number): number {
    if (part === 0) return 0;
    const { problem, rows } = this.#tables;
    const { most, worth } = rows;
    let sum = 0;
    for (const r of this.#index.at('failed', problem.district[i], problem.facilityKind[i], t))
      if (this.#state.used[r] > most[r]) sum += this.#weights[r] * worth[r];
    return part * sum;
  }

  /** Infinite where a class or the year may not be. */
  #workCosts(p: number, i: number, t: number, rules: RoomRules): void {
    const { problem, discount, layout } = this.#tables;
    const { types, type, lengthM, work, years, district, facilities, requiredClass } = problem;
    const right = work[i * years + t];
    const f = this.#state.facility[p];
    const alone = this.#state.users[f * years + t] === 0 && t !== rules.paid;
    const must = right === WORK.required ? requiredClass[layout.order[p]] : -1;
    const barred = right === WORK.barred || t === rules.bar;
    const lack = this.#lackBy(f * years + t, lengthM[i]);
    const mobilisation = alone ? facilities.mobilisationCost[f] : 0;
    const shared = facilities.district[f] === district[i];
    for (let c = 0; c < types.classes; c++) {
      const at = t * types.classes + c;
      const k = type[i] * types.classes + c;
      this.#work[at] = Number.POSITIVE_INFINITY;
      if (types.curve[k] < 0 || (must >= 0 && c !== must) || (barred && right !== WORK.required)) continue;
      const money = types.pricePerM[k] * lengthM[i];
      this.#work[at] =
        (money + mobilisation) * discount[t] +
        this.#overBy('money', district[i], t, shared ? money + mobilisation : money) +
        this.#overBy('length', district[i], t, lengthM[i]) +
        lack +
        (shared || mobilisation === 0 ? 0 : this.#overBy('money', facilities.district[f], t, mobilisation));
      if (t === rules.force) this.#work[at] -= PRIZE * this.#tables.rows.metrePrice * lengthM[i];
    }
  }

  /** Weight of what a job lacks more of the least length with the segment in it; below 0 where it lacks less. */
  #lackBy(at: number, lengthM: number): number {
    if (this.#state.leastM[at] === 0) return 0;
    const more = this.#state.lackAt(at, 1, lengthM) - this.#state.lackAt(at, 0, 0);
    return more * this.#weights[this.#tables.rows.count];
  }

  /** Weight of what an amount more puts over the rows; below 0 where it is what a floor lacks. */
  #overBy(of: 'money' | 'length', district: number, t: number, amount: number): number {
    const { sign, worth, most } = this.#tables.rows;
    let sum = 0;
    for (const r of this.#index.at(of, district, 0, t)) {
      const before = this.#state.used[r] - most[r];
      const after = before + sign[r] * worth[r] * amount;
      sum += this.#weights[r] * (Math.max(0, after) - Math.max(0, before));
    }
    return sum;
  }
}
