import type { ProgramProblem, SolveOptions } from '../program-problem.ts';
import { type FacilityBlocks, facilityBlocks } from './blocks.ts';
import { finishPlan } from './finish-plan.ts';
import { nearestPlan } from './nearest-plan.ts';
import { networkBound } from './network-bound.ts';
import { type NetworkLayout, networkLayout } from './network-layout.ts';
import { PlanOscillation } from './oscillate-plan.ts';
import { PathTables } from './path-tables.ts';
import { planAtPrices } from './plan-at-prices.ts';
import type { PlanState } from './plan-state.ts';
import { PriceOracle } from './price-oracle.ts';
import { type FoundPrices, type PriceSearch, searchPrices } from './price-search.ts';
import { emptyUsage, type RowSet } from './row-set.ts';

/** Above twice so many segments the first prices come from a sample of so many, or of one in `SAMPLE_EVERY`. */
const SAMPLE = 10_000;
const SAMPLE_EVERY = 20;
/** Looks at a segment in rounds over the whole network: very large ones, whose plans are finer, get fewer rounds. */
const FULL_LOOKS = 6_000_000;
const LEAST_ROUNDS = 10;
/** No row is worth more than so many times its own money. */
const DEAREST = 1e4;
const PROMISE = 2e-5;
/** Least miss that is no rounding. */
const SURE = 1e-6;
/** Up to so many segments a plan is searched on across the edge of its bounds. */
const SMALL_NETWORK = 3000;
const LOOKS = 400_000;
const IDLE_TURNS = 250;
/** Above so many segments each is so small beside what a row holds that any repair loses little. */
const FINE_NETWORK = 2 * SAMPLE;

export interface Decomposed {
  readonly state: PlanState;
  readonly feasible: boolean;
  /** Of the plan: money. */ readonly objective: number;
  readonly bound: number;
  /** No plan keeps all rows; `state` then misses little. */ readonly conflictsProven: boolean;
  /** Of the rows. */ readonly prices: Float64Array;
  readonly rounds: number;
  readonly stopped: boolean;
}

/**
 * Prices for all rows, a bound at those prices, and a plan near them that keeps the rows: first a quick one, then, unless
 * the gap is narrow enough, one from better prices.
 */
export class Decomposition {
  readonly layout: NetworkLayout;
  readonly #problem: ProgramProblem;
  readonly #rows: RowSet;
  readonly #options: SolveOptions;
  readonly #oracle: PriceOracle;
  readonly #blocks: FacilityBlocks;
  #rounds = 0;
  #bound = Number.NEGATIVE_INFINITY;
  #best: BestPlan | null = null;
  #prices: Float64Array;
  /** At the open years of the plan made last. */ #planPrices: Float64Array;

  constructor(problem: ProgramProblem, rows: RowSet, options: SolveOptions) {
    this.#problem = problem;
    this.#rows = rows;
    this.#options = options;
    this.layout = networkLayout(problem, rows);
    this.#oracle = new PriceOracle(new PathTables(problem, this.layout, rows, emptyUsage(rows.cells)));
    this.#blocks = facilityBlocks(problem, this.layout, problem.count);
    [this.#prices, this.#planPrices] = [new Float64Array(rows.count), new Float64Array(rows.count)];
  }

  run(): Decomposed {
    const large = this.#problem.count > 2 * SAMPLE;
    if (large) this.#sample();
    const full = Math.max(LEAST_ROUNDS, Math.floor(FULL_LOOKS / this.#problem.count));
    const most = Math.min(this.#options.rounds, full);
    const quick = {
      rounds: large ? Math.min(8, most) : most,
      boundRounds: large ? 15 : 120,
      from: 0.2,
      to: large ? 0.5 : 1,
    };
    let best = this.#cycle(quick);
    if (large && !this.#done(best))
      best = this.#cycle({ rounds: most, boundRounds: Math.min(80, 4 * full), from: 0.5, to: 1 });
    const conflictsProven = best.missed > 0 && !this.#cancelled() && this.#approach();
    if (!conflictsProven) best = this.#searchOn(this.#best ?? best);
    const { state, objective, missed } = this.#best ?? best;
    const [prices, rounds, bound] = [this.#prices, this.#rounds, this.#bound];
    const feasible = missed === 0;
    return { state, feasible, objective, bound, conflictsProven, prices, rounds, stopped: this.#cancelled() };
  }

  /** Looks for a plan that misses less. @returns whether every plan misses something */
  #approach(): boolean {
    const tables = this.#oracle.tables;
    const found = nearestPlan(this.#problem, this.#rows, this.layout, { tables, cancelled: this.#cancelled });
    this.#better(found.state, this.#finish(found.state, this.#prices));
    return found.leastMissed > SURE;
  }

  #searchOn({ state }: BestPlan): BestPlan {
    const { count } = this.#problem;
    if (count <= SMALL_NETWORK) {
      new PlanOscillation(state, this.#planPrices).run({ looks: LOOKS, idleTurns: IDLE_TURNS }, this.#cancelled);
      this.#best = { state, objective: state.objective(), missed: state.missed() };
    }
    return this.#best ?? this.#better(state, state.objective());
  }

  readonly #cancelled = (): boolean => this.#options.cancelled?.() ?? false;

  #done({ missed, objective }: BestPlan): boolean {
    if (this.#cancelled()) return true;
    return missed === 0 && objective - this.#bound <= this.#options.gapShare * Math.abs(objective);
  }

  #tell(shareDone: number): void {
    const incumbent = this.#best !== null && this.#best.missed === 0 ? this.#best.objective : null;
    this.#options.progress?.({ shareDone, bound: this.#bound, incumbent });
  }

  #sample(): void {
    const { count } = this.#problem;
    const blocks = facilityBlocks(this.#problem, this.layout, Math.max(SAMPLE, count / SAMPLE_EVERY));
    const rounds = Math.min(40, this.#options.rounds);
    this.#prices = this.#search({ blocks, rounds, from: 0, to: 0.2 }).bundle.center;
  }

  #searchOf(blocks: FacilityBlocks, rounds: number, goOn: (round: number) => boolean): PriceSearch {
    const dearest = new Float64Array(this.#rows.count).fill(DEAREST);
    return { blocks, rounds, promise: PROMISE, dearest, keepsOpen: false, goOn };
  }

  #search({
    blocks,
    rounds,
    from,
    to,
  }: {
    blocks: FacilityBlocks;
    rounds: number;
    from: number;
    to: number;
  }): FoundPrices {
    const goOn = (round: number): boolean => {
      this.#tell(from + ((to - from) * round) / rounds);
      return !this.#cancelled();
    };
    const found = searchPrices(this.#oracle, this.#prices, this.#searchOf(blocks, rounds, goOn));
    this.#rounds += found.bundle.rounds;
    return found;
  }

  /** Prices, bound and plan, each better than before or left. */
  #cycle({
    rounds,
    boundRounds,
    from,
    to,
  }: {
    rounds: number;
    boundRounds: number;
    from: number;
    to: number;
  }): BestPlan {
    const [priced, bounded] = [from + 0.5 * (to - from), from + 0.8 * (to - from)];
    const found = this.#search({ blocks: this.#blocks, rounds, from, to: priced });
    this.#prices = found.bundle.center;
    const settle = this.#searchOf(this.#blocks, rounds, () => true);
    const plan = planAtPrices(this.#oracle, found, settle, this.#oracle.tables);
    const effort = { rounds: this.#cancelled() ? 5 : boundRounds, kicks: 0, narrow: 1e-4 };
    this.#bound = Math.max(this.#bound, networkBound(this.#oracle, found.bundle.center, effort));
    this.#tell(bounded);
    const best = this.#better(plan.state, this.#finish(plan.state, plan.prices));
    this.#tell(to);
    return best;
  }

  /** Makes the plan keep its rows and uses what they leave. @returns its objective */
  #finish(state: PlanState, prices: Float64Array): number {
    this.#planPrices = prices;
    const fine = this.#problem.count > FINE_NETWORK;
    finishPlan(state, prices, { fine, cancelled: this.#cancelled });
    return state.objective();
  }

  #better(state: PlanState, objective: number): BestPlan {
    const [missed, before] = [state.missed(), this.#best];
    const worse =
      before !== null && (before.missed < missed || (before.missed === missed && before.objective <= objective));
    const best = worse ? before : { state, objective, missed };
    this.#best = best;
    return best;
  }
}

interface BestPlan {
  readonly state: PlanState;
  readonly objective: number;
  /** As `PlanState.missed`. */ readonly missed: number;
}
