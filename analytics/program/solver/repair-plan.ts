import { JobMoves } from './job-moves.ts';
import type { PathTables } from './path-tables.ts';
import { NO_WORK, type PlanState } from './plan-state.ts';
import { cellPricesInto, emptyUsage, type Usage } from './row-set.ts';
import { SegmentResponse } from './segment-response.ts';

const FIRST_RAISE = 0.01;
const RAISES = 18;

/**
 * Brings a plan under all its bounds with little loss. Rows that are missed are priced higher and higher; segments for
 * which another path is then cheaper change to it, those first that lose least for what they relieve.
 */
export class PlanRepair {
  readonly #state: PlanState;
  readonly #tables: PathTables;
  readonly #prices: Usage;
  readonly #response: SegmentResponse;
  readonly #jobs: JobMoves;
  readonly #base: Usage;
  readonly #before: Int8Array;

  constructor(state: PlanState) {
    const { problem, rows } = state.tables;
    this.#state = state;
    this.#prices = emptyUsage(rows.cells);
    this.#base = emptyUsage(rows.cells);
    this.#tables = state.tables.withPrices(this.#prices);
    this.#response = new SegmentResponse(this.#tables, state);
    this.#jobs = new JobMoves(this.#tables, state);
    this.#before = new Int8Array(problem.years);
  }

  /** @param prices of the rows, at which the plan is about the cheapest. @returns whether all bounds are kept */
  run(prices: Float64Array, cancelled: () => boolean): boolean {
    const { rows } = this.#state.tables;
    cellPricesInto(this.#base, rows, prices);
    this.#reprice(prices);
    this.#jobs.enforceLeast();
    const raised = prices.slice();
    let raise = FIRST_RAISE;
    for (let pass = 0; pass < RAISES && this.#state.missed() > 0 && !cancelled(); pass++) {
      for (let r = 0; r < rows.count; r++) if (this.#over(r) > 0) raised[r] = Math.max(raised[r], prices[r] + raise);
      this.#reprice(raised);
      this.#pass(pass % 3 === 2);
      raise *= 2;
    }
    return this.#state.missed() === 0;
  }

  #reprice(prices: Float64Array): void {
    cellPricesInto(this.#prices, this.#state.tables.rows, prices);
    this.#tables.reprice(this.#prices);
  }

  #over(r: number): number {
    const { most, tolerance } = this.#state.tables.rows;
    const over = this.#state.used[r] - most[r];
    return over > tolerance[r] ? over : 0;
  }

  /** One look at every segment that may help, then the changes in order of loss for relief. */
  #pass(soft: boolean): void {
    const moves = [...this.#segmentMoves(soft), ...this.#jobMoves(soft)];
    moves.sort((a, b) => a.loss - b.loss || a.at - b.at);
    for (const move of moves) {
      if (this.#state.missed() === 0) return;
      if (move.job) this.#tryJob(move.at, soft);
      else this.#try(move.at, soft);
    }
  }

  #segmentMoves(soft: boolean): Move[] {
    const { count } = this.#state.tables.problem;
    const helps = this.#whoHelps();
    const missed = this.#state.missed();
    const moves: Move[] = [];
    for (let p = 0; p < count; p++) {
      if (!helps(p) || !this.#response.find(p, { force: -1, bar: -1, soft })) continue;
      const cost = this.#costOfChange(p);
      this.#set(p);
      const relief = missed - this.#state.missed();
      this.#state.set(p, this.#before);
      if (relief > 0) moves.push({ at: p, job: false, loss: cost / relief });
    }
    return moves;
  }

  /** Where all missed rows are ceilings, only segments at work in their years can help. */
  #whoHelps(): (p: number) => boolean {
    const { rows, problem } = this.#state.tables;
    const years = new Set<number>();
    for (let r = 0; r < rows.count; r++) {
      if (this.#over(r) === 0) continue;
      if (rows.of[r] === 'failed' || rows.sign[r] < 0) return () => true;
      years.add(rows.year[r]);
    }
    const list = [...years];
    return (p) => list.some((t) => this.#state.work[p * problem.years + t] !== NO_WORK);
  }

  /** At the prices that the plan came from. */
  #costOfChange(p: number): number {
    const { years } = this.#state.tables.problem;
    const now = this.#state.worth(p, this.#state.work, p * years, this.#base);
    return this.#state.worth(p, this.#response.classes, 0, this.#base) - now;
  }

  #set(p: number): void {
    const { years } = this.#state.tables.problem;
    this.#before.set(this.#state.work.subarray(p * years, (p + 1) * years));
    this.#state.set(p, this.#response.classes);
  }

  #try(p: number, soft: boolean): void {
    const missed = this.#state.missed();
    if (!this.#response.find(p, { force: -1, bar: -1, soft })) return;
    this.#set(p);
    if (this.#state.missed() >= missed) this.#state.set(p, this.#before);
  }

  /** Jobs in a year whose ceiling is missed, each closed as a whole. */
  #jobMoves(soft: boolean): Move[] {
    const { rows, problem } = this.#state.tables;
    const years = new Set<number>();
    for (let r = 0; r < rows.count; r++)
      if (this.#over(r) > 0 && rows.of[r] !== 'failed' && rows.sign[r] > 0) years.add(rows.year[r]);
    const moves: Move[] = [];
    const missed = this.#state.missed();
    for (let at = 0; at < this.#state.users.length; at++) {
      if (this.#state.users[at] === 0 || !years.has(at % problem.years)) continue;
      const changes = this.#jobs.close(Math.floor(at / problem.years), at % problem.years, soft);
      if (changes === null) continue;
      const relief = missed - this.#state.missed();
      if (relief > 0) moves.push({ at, job: true, loss: this.#jobs.costOf(changes) / relief });
      this.#jobs.undo(changes);
    }
    return moves;
  }

  #tryJob(at: number, soft: boolean): void {
    const { years } = this.#state.tables.problem;
    const missed = this.#state.missed();
    if (this.#state.users[at] === 0) return;
    const changes = this.#jobs.close(Math.floor(at / years), at % years, soft);
    if (changes !== null && this.#state.missed() >= missed) this.#jobs.undo(changes);
  }
}

interface Move {
  /** Position, or facility-year. */ readonly at: number;
  readonly job: boolean;
  /** Money at the prices for one unit of what is missed. */ readonly loss: number;
}
