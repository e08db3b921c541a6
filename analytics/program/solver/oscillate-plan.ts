import { seededRandom } from '../../numeric/seeded-normals.ts';
import type { PathTables } from './path-tables.ts';
import { NO_WORK, type PlanState } from './plan-state.ts';
import { RoomResponse, type RoomRules } from './room-response.ts';

export interface OscillationEffort {
  /** Looks at one segment, in all. */ readonly looks: number;
  /** Ends after so many turns without a better plan. */ readonly idleTurns: number;
}

/** After so many turns without a better plan it goes back to the best. */
const RETURN = 5;
const ONE_PART = [1];
/** A row counts less the nearer it is to being kept, which a path's own weight for it does not show. */
const FAILED_PARTS = [1, 0.5, 0.2, 0];

/**
 * Local search across the edge of what the rows allow. What is over a row costs its weight. Segments and jobs change while
 * that helps; then weights rise for rows that are over, or fall for all where none is, and it goes on. The best plan met
 * that keeps all rows is the answer. Exchanges between segments come about this way without being looked for.
 * Source: strategic oscillation, Glover, Decision Sciences 8 (1977).
 */
export class PlanOscillation {
  readonly #state: PlanState;
  readonly #tables: PathTables;
  readonly #weights: Float64Array;
  readonly #response: RoomResponse;
  readonly #worth: Float64Array;
  readonly #before: Int8Array;
  readonly #kept: Int8Array;
  /** 1 for segments left out of a turn. */ readonly #frozen: Uint8Array;
  /** Year barred to each facility, or -1. */ readonly #shut: Int32Array;
  #cost = 0;
  #looks = 0;
  readonly #random = seededRandom(1).uniform;

  /** @param prices of the rows: first weights are a little more */
  constructor(state: PlanState, prices: Float64Array) {
    this.#state = state;
    this.#tables = state.tables;
    this.#weights = Float64Array.of(...prices.map((price) => 1.2 * price + 0.02), this.#jobWorth());
    this.#response = new RoomResponse(this.#tables, state, this.#weights);
    const { count, years } = this.#tables.problem;
    this.#worth = new Float64Array(count);
    [this.#before, this.#kept] = [new Int8Array(years), new Int8Array(years)];
    this.#frozen = new Uint8Array(count);
    this.#shut = new Int32Array(this.#tables.problem.facilities.count).fill(-1);
    for (let p = 0; p < count; p++) this.#worth[p] = state.worth(p, state.work, p * years, null);
    this.#cost = this.#worth.reduce((sum, worth) => sum + worth, 0);
  }

  /** Leaves the best plan in the state. @returns whether it keeps all rows */
  run({ looks, idleTurns }: OscillationEffort, cancelled: () => boolean): boolean {
    let best = this.#state.missed() === 0 ? this.#objective() : Number.POSITIVE_INFINITY;
    let kept = best < Number.POSITIVE_INFINITY ? this.#state.work.slice() : null;
    let over = 0;
    for (let idle = 0; idle < idleTurns && this.#looks < looks && !cancelled(); idle++) {
      this.#descend(looks);
      this.#frozen.fill(0);
      this.#shut.fill(-1);
      if (this.#state.missed() > 0) {
        this.#raise();
        if (++over % 5 === 0) this.#disturb(1 + (over % 2));
      } else {
        over = 0;
        const cost = this.#objective();
        if (cost < best - 1e-9 * Math.abs(best) || kept === null) {
          [best, kept, idle] = [cost, this.#state.work.slice(), 0];
        }
        if (idle % RETURN === RETURN - 1) this.#restore(kept);
        this.#disturb(idle);
      }
    }
    if (kept !== null) this.#restore(kept);
    return kept !== null;
  }

  #objective(): number {
    return this.#cost + this.#state.mobilised;
  }

  /** With the weight of all that is over. */
  #merit(): number {
    const { most } = this.#tables.rows;
    let sum = this.#objective() + this.#state.lacking * this.#weights[most.length];
    for (let r = 0; r < most.length; r++) {
      const over = this.#state.used[r] - most[r];
      if (over > 0) sum += this.#weights[r] * over;
    }
    return sum;
  }

  #raise(): void {
    const { most, tolerance } = this.#tables.rows;
    for (let r = 0; r < most.length; r++)
      if (this.#state.used[r] > most[r] + tolerance[r])
        this.#weights[r] = (1.2 + 0.4 * this.#random()) * this.#weights[r] + 0.01;
    if (this.#state.lacking > 1e-9)
      this.#weights[most.length] = 1.4 * this.#weights[most.length] + 0.01 * this.#jobWorth();
  }

  /** What work of the least length costs about: money. */
  #jobWorth(): number {
    return this.#tables.rows.metrePrice * this.#tables.problem.minimumJobM;
  }

  #lower(): void {
    for (let r = 0; r < this.#weights.length; r++) this.#weights[r] *= 0.3 + 0.7 * this.#random();
  }

  #disturb(turn: number): void {
    if (turn % 3 === 0) this.#lower();
    else if (turn % 3 === 1) this.#kick();
    else this.#ruin();
  }

  /** Takes the work from a few segments, which go without for a turn. */
  #ruin(): void {
    const { count, years } = this.#tables.problem;
    const working = Array.from({ length: count }, (_, p) => p).filter((p) => this.#mayRest(p));
    if (working.length === 0) return;
    const none = new Int8Array(years).fill(NO_WORK);
    for (let left = 1 + Math.floor(3 * this.#random()); left > 0; left--) {
      const p = working[Math.floor(this.#random() * working.length)];
      this.#frozen[p] = 1;
      this.#set(p, none);
    }
  }

  #mayRest(p: number): boolean {
    const { problem, layout } = this.#tables;
    if (layout.groups[layout.group[p]].required.length > 0) return false;
    return this.#state.work.subarray(p * problem.years, (p + 1) * problem.years).some((c) => c !== NO_WORK);
  }

  /** Closes one job, and bars its year to the facility for a turn. */
  #kick(): void {
    const { years } = this.#tables.problem;
    const jobs = [...this.#state.users.keys()].filter((at) => this.#state.users[at] > 0);
    if (jobs.length === 0) return;
    const at = jobs[Math.floor(this.#random() * jobs.length)];
    const f = Math.floor(at / years);
    this.#shut[f] = at % years;
    for (let p = this.#tables.layout.start[f]; p < this.#tables.layout.start[f + 1]; p++)
      if (this.#state.work[p * years + this.#shut[f]] !== NO_WORK) this.#change(p, this.#rules(p, 1));
  }

  #workOf(f: number): Int8Array {
    const { layout, problem } = this.#tables;
    return this.#state.work.slice(layout.start[f] * problem.years, layout.start[f + 1] * problem.years);
  }

  #putBack(f: number, work: Int8Array): void {
    const { layout, problem } = this.#tables;
    for (let p = layout.start[f], at = 0; p < layout.start[f + 1]; p++, at += problem.years)
      this.#set(p, work.subarray(at, at + problem.years));
  }

  #rules(p: number, failedPart: number): RoomRules {
    return { bar: this.#shut[this.#state.facility[p]], paid: -1, force: -1, failedPart };
  }

  #restore(work: Int8Array): void {
    const { count, years } = this.#tables.problem;
    for (let p = 0; p < count; p++) this.#set(p, work.subarray(p * years, (p + 1) * years));
  }

  #descend(looks: number): void {
    for (let better = true; better && this.#looks < looks; ) {
      better = false;
      const { count } = this.#tables.problem;
      const first = Math.floor(this.#random() * count);
      for (let k = 0; k < count; k++) if (this.#trySegment((first + k) % count)) better = true;
      if (!better) better = this.#tryJobs();
    }
  }

  #trySegment(p: number): boolean {
    if (this.#frozen[p] === 1) return false;
    const merit = this.#merit();
    const { years } = this.#tables.problem;
    this.#before.set(this.#state.work.subarray(p * years, (p + 1) * years));
    for (const failedPart of this.#tables.countsFailed ? FAILED_PARTS : ONE_PART) {
      this.#change(p, this.#rules(p, failedPart));
      if (this.#merit() < merit - 1e-9 * Math.abs(merit)) return true;
      this.#set(p, this.#before);
    }
    return false;
  }

  /** Sets the best path under the rules; without one the segment stays as it was. */
  #change(p: number, rules: RoomRules): void {
    const { years } = this.#tables.problem;
    const before = this.#kept;
    before.set(this.#state.work.subarray(p * years, (p + 1) * years));
    const found = this.#response.find(p, rules);
    this.#looks++;
    this.#set(p, found ? this.#response.classes : before);
  }

  #set(p: number, classes: Int8Array): void {
    this.#state.set(p, classes);
    const worth = this.#state.worth(p, classes, 0, null);
    this.#cost += worth - this.#worth[p];
    this.#worth[p] = worth;
  }

  /** Opens or closes whole jobs, one after the other, where that helps. */
  #tryJobs(): boolean {
    const { problem, layout } = this.#tables;
    let better = false;
    for (let f = 0; f < problem.facilities.count; f++) {
      if (layout.start[f + 1] - layout.start[f] < 2) continue;
      for (let t = 0; t < problem.years; t++) if (this.#tryJob(f, t)) better = true;
    }
    return better;
  }

  #tryJob(f: number, t: number): boolean {
    const { problem, layout } = this.#tables;
    const { years } = problem;
    const merit = this.#merit();
    const closes = this.#state.users[f * years + t] > 0;
    if (t === this.#shut[f] && !closes) return false;
    const [from, to] = [layout.start[f], layout.start[f + 1]];
    const before = this.#workOf(f);
    for (let p = from; p < to; p++) {
      if (this.#frozen[p] === 1 || (closes && this.#state.work[p * years + t] === NO_WORK)) continue;
      this.#change(p, { bar: closes ? t : -1, paid: closes ? -1 : t, force: -1, failedPart: 1 });
    }
    if (!closes) this.#enlarge(f, t);
    if (this.#merit() < merit - 1e-9 * Math.abs(merit)) return true;
    this.#putBack(f, before);
    return false;
  }

  /** Adds neighbours to a job that is too small, those first that cost least per metre. */
  #enlarge(f: number, t: number): void {
    const { problem, layout } = this.#tables;
    const at = f * problem.years + t;
    const small = () => this.#state.lackAt(at, 0, 0) > 0;
    if (!small()) return;
    const rules = { bar: -1, paid: t, force: t, failedPart: 1 };
    const found: { p: number; cost: number }[] = [];
    for (let p = layout.start[f]; p < layout.start[f + 1]; p++) {
      const before = this.#state.work.slice(p * problem.years, (p + 1) * problem.years);
      if (before[t] !== NO_WORK || this.#frozen[p] === 1) continue;
      const merit = this.#merit();
      this.#change(p, rules);
      const cost = (this.#merit() - merit) / problem.lengthM[layout.order[p]];
      if (this.#state.work[p * problem.years + t] !== NO_WORK) found.push({ p, cost });
      this.#set(p, before);
    }
    found.sort((a, b) => a.cost - b.cost || a.p - b.p);
    for (const { p } of found) if (small()) this.#change(p, rules);
  }
}
