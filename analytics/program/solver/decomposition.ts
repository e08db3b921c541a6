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
/** A facility's bound is near enough within this share of its plan; else years are decided, fewer in larger networks. */
const NARROW = 5e-5;
const MOST_BRANCHES = 30;
const BRANCH_LOOKS = 900_000;
const BRANCH_ROUNDS = 30;
/** No row is worth more than so many times its own money. */
const DEAREST = 1e4;
const PROMISE = 2e-5;
/** Least miss that is no rounding. */
const SURE = 1e-6;
/** Up to so many segments a plan is searched on across the edge of its bounds. */
const SMALL_NETWORK = 3000;
const LOOKS = 400_000;
const IDLE_TURNS = 250;
/** Share of the work done before. */
const SEARCH_ON = 0.7;
const AGAIN = 0.8;
/** Middling networks get more rounds for other plans, until the gap is no wider than `ENOUGH`. */
const MOST_AGAIN = 3;
const AGAIN_ROUNDS = 20;
const ENOUGH = 2e-3;
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
    const { count } = this.#problem;
    const full = Math.max(LEAST_ROUNDS, Math.floor(FULL_LOOKS / count));
    const rounds = Math.min(this.#options.rounds, full);
    const boundRounds = Math.min(120, 4 * full);
    const branches = Math.min(MOST_BRANCHES, Math.floor(BRANCH_LOOKS / count));
    const whole = { rounds, boundRounds, branches };
    let best: BestPlan;
    if (count <= SMALL_NETWORK) best = this.#cycle({ ...whole, from: 0, to: SEARCH_ON });
    else {
      best = this.#quick(rounds);
      if (!this.#done(best)) best = this.#cycle({ ...whole, from: 0.5, to: count <= FINE_NETWORK ? AGAIN : 1 });
      if (count <= FINE_NETWORK) best = this.#again(best, { ...whole, rounds: Math.min(AGAIN_ROUNDS, rounds) });
    }
    const conflictsProven = best.missed > 0 && !this.#cancelled() && this.#approach();
    if (!conflictsProven) best = this.#searchOn(this.#best ?? best);
    const { state, objective, missed } = this.#best ?? best;
    const [prices, priceRounds, bound] = [this.#prices, this.#rounds, this.#bound];
    const feasible = missed === 0;
    const stopped = this.#cancelled();
    return { state, feasible, objective, bound, conflictsProven, prices, rounds: priceRounds, stopped };
  }

  /** Prices a little apart give other open years, which are worth some tenths of a percent where jobs are few. */
  #again(best: BestPlan, cycle: Omit<Cycle, 'from' | 'to'>): BestPlan {
    let found = best;
    const part = (1 - AGAIN) / MOST_AGAIN;
    for (let k = 0; k < MOST_AGAIN && !this.#done(found, ENOUGH); k++)
      found = this.#cycle({ ...cycle, from: AGAIN + k * part, to: AGAIN + (k + 1) * part });
    return found;
  }

  /** A first plan and bound, soon. Those of a large network begin with prices of a part of it. */
  #quick(rounds: number): BestPlan {
    const large = this.#problem.count > FINE_NETWORK;
    if (large) this.#sample();
    return this.#cycle({
      rounds: Math.min(large ? 8 : 16, rounds),
      boundRounds: 15,
      branches: 0,
      from: large ? 0.2 : 0,
      to: 0.5,
    });
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
      const found = (objective: number, share: number): void => {
        this.#best = { state, objective, missed: 0 };
        this.#tell(SEARCH_ON + (1 - SEARCH_ON) * share);
      };
      const effort = { looks: LOOKS, idleTurns: IDLE_TURNS };
      new PlanOscillation(state, this.#planPrices).run(effort, { cancelled: this.#cancelled, found });
      this.#best = { state, objective: state.objective(), missed: state.missed() };
    }
    return this.#best ?? this.#better(state, state.objective());
  }

  readonly #cancelled = (): boolean => this.#options.cancelled?.() ?? false;

  #done({ missed, objective }: BestPlan, gapShare = 0): boolean {
    if (this.#cancelled()) return true;
    const enough = Math.max(gapShare, this.#options.gapShare);
    return missed === 0 && objective - this.#bound <= enough * Math.abs(objective);
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
  #cycle({ rounds, boundRounds, branches, from, to }: Cycle): BestPlan {
    const [priced, bounded] = [from + 0.5 * (to - from), from + 0.8 * (to - from)];
    const found = this.#search({ blocks: this.#blocks, rounds, from, to: priced });
    this.#prices = found.bundle.center;
    const settle = this.#searchOf(this.#blocks, rounds, () => true);
    const plan = planAtPrices(this.#oracle, found, settle, this.#oracle.tables);
    const hurried = this.#cancelled();
    const effort = {
      rounds: hurried ? 5 : boundRounds,
      branches: hurried ? 0 : branches,
      branchRounds: BRANCH_ROUNDS,
      narrow: NARROW,
    };
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

interface Cycle {
  /** Of prices. */ readonly rounds: number;
  /** Of each facility's bound, and years that it decides. */ readonly boundRounds: number;
  readonly branches: number;
  /** Share done before and after. */ readonly from: number;
  readonly to: number;
}

interface BestPlan {
  readonly state: PlanState;
  readonly objective: number;
  /** As `PlanState.missed`. */ readonly missed: number;
}
