import type { PathTables } from './path-tables.ts';
import type { PlanState } from './plan-state.ts';
import { RoomResponse, type RoomRules } from './room-response.ts';

const ONE_PART = [1];
/** A row counts less the nearer it is to being kept, which a path's own weight for it does not show. */
const FAILED_PARTS = [1, 0.5, 0.2, 0];

export const FREE_ROOM: RoomRules = { bar: -1, paid: -1, force: -1, failedPart: 1 };

/**
 * Moves of single segments across the edge of what the rows allow. What is over a row costs its weight, what is left under
 * it costs nothing, so that plans come to lie along the edge.
 */
export class EdgeMoves {
  readonly state: PlanState;
  readonly tables: PathTables;
  /** Of the rows, and last of all jobs that lack length: money for one unit. */ readonly weights: Float64Array;
  /** Segments looked at so far. */ looks = 0;
  readonly #response: RoomResponse;
  /** Of each segment, without mobilisation, and of all: money. */ readonly #worth: Float64Array;
  #cost = 0;
  readonly #before: Int8Array;
  readonly #kept: Int8Array;

  /** @param prices of the rows: first weights are a little more */
  constructor(state: PlanState, prices: Float64Array) {
    this.state = state;
    this.tables = state.tables;
    this.weights = Float64Array.of(...prices.map((price) => 1.2 * price + 0.02), this.#jobWorth());
    this.#response = new RoomResponse(this.tables, state, this.weights);
    const { count, years } = this.tables.problem;
    this.#worth = new Float64Array(count);
    [this.#before, this.#kept] = [new Int8Array(years), new Int8Array(years)];
    for (let p = 0; p < count; p++) {
      this.#worth[p] = state.worth(p, state.work, p * years, null);
      this.#cost += this.#worth[p];
    }
  }

  /** Of the plan as it is: money. */
  objective(): number {
    return this.#cost + this.state.mobilised;
  }

  /** With the weight of all that is over. */
  merit(): number {
    const { most } = this.tables.rows;
    let sum = this.objective() + this.state.lacking * this.weights[most.length];
    for (let r = 0; r < most.length; r++) {
      const over = this.state.used[r] - most[r];
      if (over > 0) sum += this.weights[r] * over;
    }
    return sum;
  }

  isOver(r: number): boolean {
    const { most, tolerance } = this.tables.rows;
    return this.state.used[r] > most[r] + tolerance[r];
  }

  /** Rows that are over, and jobs that lack length, weigh more from now on. */
  raise(factor: () => number): void {
    const rows = this.tables.rows.count;
    for (let r = 0; r < rows; r++) if (this.isOver(r)) this.weights[r] = factor() * this.weights[r] + 0.01;
    if (this.state.lacking > 1e-9) this.weights[rows] = 1.4 * this.weights[rows] + 0.01 * this.#jobWorth();
  }

  /** What work of the least length costs about: money. */
  #jobWorth(): number {
    return this.tables.rows.metrePrice * this.tables.problem.minimumJobM;
  }

  /** Gives the segment a path of more merit. @param bar year that may have no work, or -1 @returns whether there is one */
  improve(p: number, bar: number): boolean {
    const merit = this.merit();
    const { years } = this.tables.problem;
    this.#before.set(this.state.work.subarray(p * years, (p + 1) * years));
    for (const failedPart of this.tables.countsFailed ? FAILED_PARTS : ONE_PART) {
      this.change(p, { bar, paid: -1, force: -1, failedPart });
      if (this.merit() < merit - 1e-9 * Math.abs(merit)) return true;
      this.set(p, this.#before);
    }
    return false;
  }

  /** Sets the best path under the rules; without one the segment stays as it was. */
  change(p: number, rules: RoomRules): void {
    const { years } = this.tables.problem;
    const before = this.#kept;
    before.set(this.state.work.subarray(p * years, (p + 1) * years));
    const found = this.#response.find(p, rules);
    this.looks++;
    this.set(p, found ? this.#response.classes : before);
  }

  set(p: number, classes: Int8Array): void {
    this.state.set(p, classes);
    const worth = this.state.worth(p, classes, 0, null);
    this.#cost += worth - this.#worth[p];
    this.#worth[p] = worth;
  }
}
