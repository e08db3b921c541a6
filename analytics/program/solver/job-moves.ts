import type { PathTables } from './path-tables.ts';
import { NO_WORK, type PlanState } from './plan-state.ts';
import { SegmentResponse } from './segment-response.ts';

interface Undo {
  readonly p: number;
  readonly before: Int8Array;
}

/** Moves of all the work of a facility in a year, and the least job. */
export class JobMoves {
  readonly #state: PlanState;
  readonly #response: SegmentResponse;
  readonly #tables: PathTables;

  constructor(tables: PathTables, state: PlanState) {
    this.#tables = tables;
    this.#state = state;
    this.#response = new SegmentResponse(tables, state);
  }

  /** Sends every segment at work there elsewhere. @returns what undoes it; null: one must stay, nothing is changed */
  close(f: number, t: number, soft: boolean): Undo[] | null {
    const { layout, problem } = this.#tables;
    const done: Undo[] = [];
    for (let p = layout.start[f]; p < layout.start[f + 1]; p++) {
      if (this.#state.work[p * problem.years + t] === NO_WORK) continue;
      const found = this.#response.find(p, { force: -1, bar: t, soft });
      if (!found || this.#response.classes[t] !== NO_WORK) {
        this.undo(done);
        return null;
      }
      done.push(this.#set(p));
    }
    return done;
  }

  /** Adds neighbours, those first that it costs least per metre, until the job is large enough. */
  fill(f: number, t: number, soft: boolean): Undo[] | null {
    const { layout, problem } = this.#tables;
    const at = f * problem.years + t;
    const done: Undo[] = [];
    const order = this.#neighbours(layout.start[f], layout.start[f + 1], t, soft);
    for (const p of order) {
      if (this.#state.lengthAt[at] >= this.#state.leastM[at] * (1 - 1e-9)) break;
      if (this.#response.find(p, { force: t, bar: -1, soft }) && this.#response.classes[t] !== NO_WORK)
        done.push(this.#set(p));
    }
    if (this.#state.lengthAt[at] >= this.#state.leastM[at] * (1 - 1e-9)) return done;
    this.undo(done);
    return null;
  }

  #neighbours(from: number, to: number, t: number, soft: boolean): number[] {
    const { problem, layout, prices } = this.#tables;
    const found: { p: number; cost: number }[] = [];
    for (let p = from; p < to; p++) {
      if (this.#state.work[p * problem.years + t] !== NO_WORK) continue;
      if (!this.#response.find(p, { force: t, bar: -1, soft }) || this.#response.classes[t] === NO_WORK) continue;
      const more = this.#state.worth(p, this.#response.classes, 0, prices) - this.worthNow(p);
      found.push({ p, cost: more / problem.lengthM[layout.order[p]] });
    }
    return found.sort((a, b) => a.cost - b.cost || a.p - b.p).map(({ p }) => p);
  }

  #set(p: number): Undo {
    const { years } = this.#tables.problem;
    const before = this.#state.work.slice(p * years, (p + 1) * years);
    this.#state.set(p, this.#response.classes);
    return { p, before };
  }

  worthNow(p: number): number {
    return this.#state.worth(p, this.#state.work, p * this.#tables.problem.years, this.#tables.prices);
  }

  /** What the changes cost at the prices of the tables, without mobilisation: money. */
  costOf(changes: readonly Undo[]): number {
    const { prices } = this.#tables;
    return changes.reduce((sum, { p, before }) => sum + this.worthNow(p) - this.#state.worth(p, before, 0, prices), 0);
  }

  undo(changes: readonly Undo[]): void {
    for (let k = changes.length - 1; k >= 0; k--) this.#state.set(changes[k].p, changes[k].before);
  }

  /** Makes every job too small larger, or closes it, whichever costs less at the prices. */
  enforceLeast(): void {
    const { problem } = this.#tables;
    for (let round = 0; round < 4; round++) {
      let changed = false;
      for (let at = 0; at < this.#state.users.length; at++) {
        if (this.#state.users[at] === 0 || this.#state.lengthAt[at] >= this.#state.leastM[at] * (1 - 1e-9)) continue;
        this.#enlargeOrClose(Math.floor(at / problem.years), at % problem.years);
        changed = true;
      }
      if (!changed) break;
    }
  }

  #enlargeOrClose(f: number, t: number): void {
    const { problem, discount, prices } = this.#tables;
    const closed = this.close(f, t, true);
    const mobilisation = problem.facilities.mobilisationCost[f];
    const price = discount[t] + prices.money[problem.facilities.district[f] * problem.years + t];
    const closing = closed === null ? Number.POSITIVE_INFINITY : this.costOf(closed) - mobilisation * price;
    if (closed !== null) this.undo(closed);
    const filled = this.fill(f, t, true);
    if (filled !== null && this.costOf(filled) <= closing) return;
    if (filled !== null) this.undo(filled);
    if (closed !== null) this.close(f, t, true);
  }
}
