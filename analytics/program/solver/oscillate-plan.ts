import { seededRandom } from '../../numeric/seeded-normals.ts';
import { EdgeMoves, FREE_ROOM } from './edge-moves.ts';
import type { PathTables } from './path-tables.ts';
import { NO_WORK, type PlanState } from './plan-state.ts';

export interface OscillationEffort {
  /** Looks at one segment, in all. */ readonly looks: number;
  /** Ends after so many turns without a better plan. */ readonly idleTurns: number;
}

export interface OscillationWatch {
  readonly cancelled: () => boolean;
  /** A better plan that keeps all rows: its cost, and the share of the looks that are done. */
  readonly found?: (objective: number, shareDone: number) => void;
}

/** After so many turns without a better plan it goes back to the best. */
const RETURN = 5;

/**
 * Local search across the edge of what the rows allow. What is over a row costs its weight. Segments and jobs change while
 * that helps; then weights rise for rows that are over, or fall for all where none is, and it goes on. The best plan met
 * that keeps all rows is the answer. Exchanges between segments come about this way without being looked for.
 * Source: strategic oscillation, Glover, Decision Sciences 8 (1977).
 */
export class PlanOscillation {
  readonly #state: PlanState;
  readonly #tables: PathTables;
  readonly #moves: EdgeMoves;
  /** 1 for segments left out of a turn. */ readonly #frozen: Uint8Array;
  /** Year barred to each facility, or -1. */ readonly #shut: Int32Array;
  readonly #random = seededRandom(1).uniform;

  /** @param prices of the rows: first weights are a little more */
  constructor(state: PlanState, prices: Float64Array) {
    this.#state = state;
    this.#tables = state.tables;
    this.#moves = new EdgeMoves(state, prices);
    const { count } = this.#tables.problem;
    this.#frozen = new Uint8Array(count);
    this.#shut = new Int32Array(this.#tables.problem.facilities.count).fill(-1);
  }

  /** Leaves the best plan in the state. @returns whether it keeps all rows */
  run({ looks, idleTurns }: OscillationEffort, { cancelled, found }: OscillationWatch): boolean {
    let best = this.#state.missed() === 0 ? this.#moves.objective() : Number.POSITIVE_INFINITY;
    let kept = best < Number.POSITIVE_INFINITY ? this.#state.work.slice() : null;
    let over = 0;
    for (let idle = 0; idle < idleTurns && this.#moves.looks < looks && !cancelled(); idle++) {
      this.#descend(looks);
      this.#frozen.fill(0);
      this.#shut.fill(-1);
      if (this.#state.missed() > 0) {
        this.#moves.raise(() => 1.2 + 0.4 * this.#random());
        if (++over % 5 === 0) this.#disturb(1 + (over % 2));
      } else {
        over = 0;
        const cost = this.#moves.objective();
        if (cost < best - 1e-9 * Math.abs(best) || kept === null) {
          [best, kept, idle] = [cost, this.#state.work.slice(), 0];
          found?.(cost, Math.min(1, this.#moves.looks / looks));
        }
        if (idle % RETURN === RETURN - 1) this.#restore(kept);
        this.#disturb(idle);
      }
    }
    if (kept !== null) this.#restore(kept);
    return kept !== null;
  }

  #lower(): void {
    for (let r = 0; r < this.#moves.weights.length; r++) this.#moves.weights[r] *= 0.3 + 0.7 * this.#random();
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
      this.#moves.set(p, none);
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
      if (this.#state.work[p * years + this.#shut[f]] !== NO_WORK)
        this.#moves.change(p, { ...FREE_ROOM, bar: this.#barred(p) });
  }

  #workOf(f: number): Int8Array {
    const { layout, problem } = this.#tables;
    return this.#state.work.slice(layout.start[f] * problem.years, layout.start[f + 1] * problem.years);
  }

  #putBack(f: number, work: Int8Array): void {
    const { layout, problem } = this.#tables;
    for (let p = layout.start[f], at = 0; p < layout.start[f + 1]; p++, at += problem.years)
      this.#moves.set(p, work.subarray(at, at + problem.years));
  }

  /** Year barred to a segment's facility, or -1. */
  #barred(p: number): number {
    return this.#shut[this.#state.facility[p]];
  }

  #restore(work: Int8Array): void {
    const { count, years } = this.#tables.problem;
    for (let p = 0; p < count; p++) this.#moves.set(p, work.subarray(p * years, (p + 1) * years));
  }

  #descend(looks: number): void {
    for (let better = true; better && this.#moves.looks < looks; ) {
      better = false;
      const { count } = this.#tables.problem;
      const first = Math.floor(this.#random() * count);
      for (let k = 0; k < count; k++) {
        const p = (first + k) % count;
        if (this.#frozen[p] === 0 && this.#moves.improve(p, this.#barred(p))) better = true;
      }
      if (!better) better = this.#tryJobs();
    }
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
    const merit = this.#moves.merit();
    const closes = this.#state.users[f * years + t] > 0;
    if (t === this.#shut[f] && !closes) return false;
    const [from, to] = [layout.start[f], layout.start[f + 1]];
    const before = this.#workOf(f);
    for (let p = from; p < to; p++) {
      if (this.#frozen[p] === 1 || (closes && this.#state.work[p * years + t] === NO_WORK)) continue;
      this.#moves.change(p, { ...FREE_ROOM, bar: closes ? t : -1, paid: closes ? -1 : t });
    }
    if (!closes) this.#enlarge(f, t);
    if (this.#moves.merit() < merit - 1e-9 * Math.abs(merit)) return true;
    this.#putBack(f, before);
    return false;
  }

  /** Adds neighbours to a job that is too small, those first that cost least per metre. */
  #enlarge(f: number, t: number): void {
    const { problem, layout } = this.#tables;
    const at = f * problem.years + t;
    const small = () => this.#state.lackAt(at, 0, 0) > 0;
    if (!small()) return;
    const rules = { ...FREE_ROOM, paid: t, force: t };
    const found: { p: number; cost: number }[] = [];
    for (let p = layout.start[f]; p < layout.start[f + 1]; p++) {
      const before = this.#state.work.slice(p * problem.years, (p + 1) * problem.years);
      if (before[t] !== NO_WORK || this.#frozen[p] === 1) continue;
      const merit = this.#moves.merit();
      this.#moves.change(p, rules);
      const cost = (this.#moves.merit() - merit) / problem.lengthM[layout.order[p]];
      if (this.#state.work[p * problem.years + t] !== NO_WORK) found.push({ p, cost });
      this.#moves.set(p, before);
    }
    found.sort((a, b) => a.cost - b.cost || a.p - b.p);
    for (const { p } of found) if (small()) this.#moves.change(p, rules);
  }
}
