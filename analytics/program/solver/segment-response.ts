import { WORK } from '../program-problem.ts';
import type { PathTables } from './path-tables.ts';
import { NO_WORK, type PlanState } from './plan-state.ts';
import { RowIndex } from './row-index.ts';

export interface ResponseRules {
  /** A year that must have work, or -1. */ readonly force: number;
  /** A year that may have none, or -1. */ readonly bar: number;
  /** Whether rows may be overdrawn. */ readonly soft: boolean;
}

export const FREE: ResponseRules = { force: -1, bar: -1, soft: false };

/** A forced year is paid so many mean prices of resealing: more than any path can cost. */
const PRIZE = 1e7;

/**
 * Cheapest path of one segment within a plan in which all others stay: mobilisation counts only where the segment would be
 * alone, and years are barred in which a row has no room for it.
 */
export class SegmentResponse {
  readonly #tables: PathTables;
  readonly #state: PlanState;
  /** Class in each year, or `NO_WORK`: the answer. */ readonly classes: Int8Array;
  readonly #extra: Float64Array;
  readonly #toGo: Float64Array;
  readonly #next: Int8Array;
  readonly #index: RowIndex;

  constructor(tables: PathTables, state: PlanState) {
    const { years } = tables.problem;
    this.#tables = tables;
    this.#state = state;
    this.classes = new Int8Array(years);
    [this.#extra, this.#toGo] = [new Float64Array(years), new Float64Array(years)];
    this.#next = new Int8Array(years);
    this.#index = new RowIndex(tables.rows);
  }

  /** Writes `classes`. @returns whether there is a path, and one other than what the segment does now */
  find(p: number, rules: ResponseRules = FREE): boolean {
    const { problem, layout } = this.#tables;
    const { years, failedByYearEnd, lengthM } = problem;
    const i = layout.order[p];
    const table = this.#tables.at(layout.group[p]);
    this.#bar(p, i, rules);
    this.#backward(table.leg);
    let [open, best, at] = [0, Number.POSITIVE_INFINITY, years];
    for (let t = 0; t < years; t++) {
      if (t <= table.lastFirst && open + this.#toGo[t] < best) [best, at] = [open + this.#toGo[t], t];
      open += table.open[t] * failedByYearEnd[i * years + t];
    }
    if (table.finalWeight === 1) open += problem.finalCostIfNeverPerM[i];
    if (table.mayRest && open <= best) [best, at] = [open, years];
    if (!(best * lengthM[i] < Number.POSITIVE_INFINITY)) return false;
    return this.#read(p, at, table.legClass);
  }

  #backward(leg: Float64Array): void {
    const { years } = this.#tables.problem;
    const [toGo, next, extra] = [this.#toGo, this.#next, this.#extra];
    for (let t = years - 1; t >= 0; t--) {
      toGo[t] = Number.POSITIVE_INFINITY;
      if (extra[t] === Number.POSITIVE_INFINITY) continue;
      const row = t * (years + 1);
      let [best, to] = [leg[row + years], years];
      for (let u = t + 1; u < years; u++) {
        const cost = leg[row + u] + toGo[u];
        if (cost < best) [best, to] = [cost, u];
      }
      toGo[t] = best + extra[t];
      next[t] = to;
    }
  }

  #read(p: number, first: number, legClass: Int8Array): boolean {
    const { years } = this.#tables.problem;
    this.classes.fill(NO_WORK);
    for (let t = first; t < years; t = this.#next[t]) this.classes[t] = legClass[t * (years + 1) + this.#next[t]];
    for (let t = 0; t < years; t++) if (this.classes[t] !== this.#state.work[p * years + t]) return true;
    return false;
  }

  /** What a year costs beside the work itself, per metre; infinite where it may not be. */
  #bar(p: number, i: number, rules: ResponseRules): void {
    const { problem, discount, prices } = this.#tables;
    const { years, facilities, work, lengthM } = problem;
    const f = this.#state.facility[p];
    const prize = PRIZE * this.#tables.rows.metrePrice;
    for (let t = 0; t < years; t++) {
      const right = work[i * years + t];
      const now = this.#state.work[p * years + t] !== NO_WORK;
      const others = this.#state.users[f * years + t] - (now ? 1 : 0);
      const price = discount[t] + prices.money[facilities.district[f] * years + t];
      const paid = others > 0 ? 0 : facilities.mobilisationCost[f];
      this.#extra[t] = (paid * price) / lengthM[i];
      const barred = right === WORK.barred || (t === rules.bar && right !== WORK.required);
      if (barred) this.#extra[t] = Number.POSITIVE_INFINITY;
      else if (t === rules.force) this.#extra[t] -= prize;
      else if (right === WORK.required) continue;
      else if (now) this.#extra[t] -= this.#mustStay(p, i, t, others) ? prize : 0;
      else if (!this.#mayJoin(i, t, f, { others, paid, soft: rules.soft })) this.#extra[t] = Number.POSITIVE_INFINITY;
    }
  }

  /** A job must not be left too small; closing it as a whole is for `JobMoves`. */
  #mustStay(p: number, i: number, t: number, others: number): boolean {
    const at = this.#state.facility[p] * this.#tables.problem.years + t;
    return (
      others > 0 && this.#state.lengthAt[at] - this.#tables.problem.lengthM[i] < this.#state.leastM[at] * (1 - 1e-9)
    );
  }

  #mayJoin(i: number, t: number, f: number, now: { others: number; paid: number; soft: boolean }): boolean {
    const { years, lengthM, district, facilities } = this.#tables.problem;
    if (now.others === 0 && lengthM[i] < this.#state.leastM[f * years + t] * (1 - 1e-9)) return false;
    return now.soft || this.#fits(i, district[i], t, now.paid, facilities.district[f]);
  }

  /** Whether the cheapest work there still fits under every ceiling of the year. */
  #fits(i: number, district: number, t: number, mobilisation: number, payer: number): boolean {
    const { types, type, lengthM } = this.#tables.problem;
    let least = Number.POSITIVE_INFINITY;
    for (let k = type[i] * types.classes; k < (type[i] + 1) * types.classes; k++)
      if (types.curve[k] >= 0 && types.pricePerM[k] < least) least = types.pricePerM[k];
    const money = least * lengthM[i] + (payer === district ? mobilisation : 0);
    return (
      this.#hasRoom('money', district, t, money) &&
      this.#hasRoom('length', district, t, lengthM[i]) &&
      (payer === district || mobilisation === 0 || this.#hasRoom('money', payer, t, mobilisation))
    );
  }

  #hasRoom(of: 'money' | 'length', district: number, t: number, amount: number): boolean {
    const { sign, worth, most, tolerance } = this.#tables.rows;
    for (const r of this.#index.at(of, district, 0, t))
      if (sign[r] > 0 && this.#state.used[r] + worth[r] * amount > most[r] + tolerance[r]) return false;
    return true;
  }
}
