import type { ProgramProblem, SolveOptions } from '../program-problem.ts';
import { type FacilityBlocks, facilityBlocks } from './blocks.ts';
import { FacilityBound } from './facility-bound.ts';
import { PlanImprovement } from './improve-plan.ts';
import { networkLayout } from './network-layout.ts';
import { PathTables } from './path-tables.ts';
import { PlanState } from './plan-state.ts';
import { PriceBundle } from './price-bundle.ts';
import { mobilisationInto, PriceOracle } from './price-oracle.ts';
import { PlanRepair } from './repair-plan.ts';
import { emptyUsage, type RowSet } from './row-set.ts';

/** Above so many segments the first prices come from a sample of so many. */
const SAMPLE = 10_000;
const DEAREST = 1e4;

export interface Decomposed {
  readonly state: PlanState;
  readonly feasible: boolean;
  readonly bound: number;
  /** Of the rows. */ readonly prices: Float64Array;
  readonly rounds: number;
  readonly stopped: boolean;
}

/** Prices for all rows, a bound at those prices, and a plan near them that keeps the rows. */
export function decompose(problem: ProgramProblem, rows: RowSet, options: SolveOptions): Decomposed {
  return new Decomposition(problem, rows, options).run();
}

class Decomposition {
  readonly #problem: ProgramProblem;
  readonly #rows: RowSet;
  readonly #options: SolveOptions;
  readonly #tables: PathTables;
  readonly #oracle: PriceOracle;
  #rounds = 0;
  #bound = Number.NEGATIVE_INFINITY;

  constructor(problem: ProgramProblem, rows: RowSet, options: SolveOptions) {
    this.#problem = problem;
    this.#rows = rows;
    this.#options = options;
    this.#tables = new PathTables(problem, networkLayout(problem, rows), rows, emptyUsage(rows.cells));
    this.#oracle = new PriceOracle(this.#tables);
  }

  run(): Decomposed {
    const { count } = this.#problem;
    let prices: Float64Array = new Float64Array(this.#rows.count);
    const most = this.#options.rounds;
    if (count > 2 * SAMPLE) prices = this.#search(prices, this.#blocks(SAMPLE), Math.ceil(0.6 * most));
    prices = this.#search(prices, this.#blocks(count), most);
    this.#bound = this.#boundAt(prices);
    this.#tell(0.8, null);
    const state = this.#planAt(prices);
    const feasible = new PlanRepair(state).run(prices, this.#cancelled);
    if (feasible) new PlanImprovement(state).run(prices, 4, this.#cancelled);
    const stopped = this.#cancelled();
    return { state, feasible, bound: this.#bound, prices, rounds: this.#rounds, stopped };
  }

  readonly #cancelled = (): boolean => this.#options.cancelled?.() ?? false;

  #tell(shareDone: number, incumbent: number | null): void {
    this.#options.progress?.({ shareDone, bound: this.#bound, incumbent });
  }

  #blocks(segments: number): FacilityBlocks {
    return facilityBlocks(this.#problem, this.#tables.layout, segments);
  }

  /** Better prices, until the model of the bundle promises little more or the rounds are over. */
  #search(start: Float64Array, blocks: FacilityBlocks, rounds: number): Float64Array {
    const scale = this.#rows.most.map((bound, r) => Math.max(Math.abs(bound), 1e6 * this.#rows.tolerance[r]));
    const bundle = new PriceBundle({ most: this.#rows.most, scale, dearest: DEAREST }, start);
    for (let round = 0; round < rounds && this.#rounds < this.#options.rounds && !this.#cancelled(); round++) {
      bundle.answer(this.#oracle.answer(bundle.trial, blocks, round % 5 === 4).cuts);
      this.#rounds++;
      this.#tell((0.7 * this.#rounds) / this.#options.rounds, null);
      if (bundle.hope - bundle.centerValue < 2e-5 * Math.abs(bundle.centerValue)) break;
    }
    return bundle.center;
  }

  #boundAt(prices: Float64Array): number {
    const { facilities, years } = this.#problem;
    const { layout } = this.#tables;
    const bound = new FacilityBound(this.#oracle.paths);
    const mobilisation = new Float64Array(years);
    this.#oracle.reprice(prices);
    let sum = 0;
    for (let r = 0; r < this.#rows.count; r++) sum -= prices[r] * this.#rows.most[r];
    for (let f = 0; f < facilities.count; f++) {
      if (layout.start[f] === layout.start[f + 1]) continue;
      const known = this.#oracle.solve(f, true);
      mobilisationInto(mobilisation, this.#tables, f);
      const open = this.#oracle.open.subarray(f * years, (f + 1) * years);
      sum += bound.raise(open, mobilisation, known, 100, 1e-4 * Math.abs(known));
    }
    return sum;
  }

  #planAt(prices: Float64Array): PlanState {
    const { facilities } = this.#problem;
    const { layout } = this.#tables;
    const state = new PlanState(this.#tables);
    this.#oracle.reprice(prices);
    for (let f = 0; f < facilities.count; f++) {
      if (layout.start[f] === layout.start[f + 1]) continue;
      this.#oracle.solve(f, true);
      state.take(this.#oracle.paths);
    }
    return state;
  }
}
