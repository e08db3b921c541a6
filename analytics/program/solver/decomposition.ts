import type { ProgramProblem, SolveOptions } from '../program-problem.ts';
import { type FacilityBlocks, facilityBlocks } from './blocks.ts';
import { FacilityBound } from './facility-bound.ts';
import { PlanImprovement } from './improve-plan.ts';
import { type Answered, PlanMixture } from './mix-plans.ts';
import { SegmentMixture } from './mix-segments.ts';
import { networkLayout } from './network-layout.ts';
import { PlanOscillation } from './oscillate-plan.ts';
import { PathTables } from './path-tables.ts';
import { PlanState } from './plan-state.ts';
import { PriceBundle } from './price-bundle.ts';
import { mobilisationInto, PriceOracle } from './price-oracle.ts';
import { PlanRepair } from './repair-plan.ts';
import { emptyUsage, type RowSet } from './row-set.ts';

/** Above so many segments the first prices come from a sample of so many. */
const SAMPLE = 10_000;
const DEAREST = 1e4;
const KICKS = Number(process.env.KICKS ?? 0);

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
    let start: Float64Array = new Float64Array(this.#rows.count);
    const most = this.#options.rounds;
    if (count > 2 * SAMPLE) start = this.#search(start, this.#blocks(SAMPLE), Math.ceil(0.6 * most)).bundle.center;
    const blocks = this.#blocks(count);
    const { bundle, answered } = this.#search(start, blocks, most);
    const prices = bundle.center;
    this.#bound = this.#boundAt(prices);
    this.#tell(0.8, null);
    const state = new PlanState(this.#tables);
    const mixture = new PlanMixture(this.#oracle, blocks, { cuts: bundle.cuts, prices }, answered);
    mixture.choose();
    let finalPrices: Float64Array = prices;
    if (process.env.FIX === '0') mixture.write(state);
    else {
      mixture.openInto(this.#oracle.open);
      const fixed = this.#search(prices, blocks, 40, true);
      finalPrices = fixed.bundle.center;
      if (process.env.V)
        console.log('fixed', fixed.bundle.centerValue.toFixed(0), fixed.bundle.hope.toFixed(0), fixed.bundle.rounds);
      const second = new SegmentMixture(
        state,
        { cuts: fixed.bundle.cuts, prices: finalPrices, blocks: blocks.count },
        fixed.answered,
      );
      for (let at = 0; at < blocks.facilities.length; at++) second.take(blocks.facilities[at], blocks.block[at]);
    }
    if (process.env.V)
      console.log(
        'center',
        bundle.centerValue.toFixed(0),
        'hope',
        bundle.hope.toFixed(0),
        'rounds',
        bundle.rounds,
        'bound',
        this.#bound.toFixed(0),
        'mixpriced',
        mixValue(state, prices).toFixed(0),
      );
    if (process.env.V)
      console.log(
        'mixed',
        state.missed(),
        [...state.used].map((u, r) => (u / this.#rows.most[r]).toFixed(2)).join(' '),
      );
    let feasible = new PlanRepair(state).run(finalPrices, this.#cancelled);
    if (process.env.V)
      console.log(
        'repaired priced',
        mixValue(state, prices).toFixed(0),
        'true',
        mixValue(
          state,
          prices.map(() => 0),
        ).toFixed(0),
      );
    if (feasible) new PlanImprovement(state).run(finalPrices, 4, this.#cancelled);
    if (count < 3000)
      feasible = new PlanOscillation(state, finalPrices).run(
        { looks: Number(process.env.LOOKS ?? 300) * count, idleTurns: 200 },
        this.#cancelled,
      );
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
  #search(
    start: Float64Array,
    blocks: FacilityBlocks,
    rounds: number,
    fixed = false,
  ): { bundle: PriceBundle; answered: Answered[] } {
    const scale = this.#rows.most.map((bound, r) => Math.max(Math.abs(bound), 1e6 * this.#rows.tolerance[r]));
    const bundle = new PriceBundle({ most: this.#rows.most, scale, dearest: DEAREST }, start);
    const answered: Answered[] = [];
    for (
      let round = 0;
      round < rounds && (fixed || this.#rounds < this.#options.rounds) && !this.#cancelled();
      round++
    ) {
      const { cuts } = this.#oracle.answer(
        bundle.trial,
        blocks,
        fixed ? null : { kicks: KICKS, firstKick: KICKS * round },
      );
      answered.push({ prices: bundle.trial.slice(), open: this.#oracle.open.slice() });
      bundle.answer(cuts);
      this.#rounds++;
      this.#tell((0.7 * this.#rounds) / this.#options.rounds, null);
      if (bundle.hope - bundle.centerValue < 2e-5 * Math.abs(bundle.centerValue)) break;
    }
    return { bundle, answered };
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
      const known = this.#oracle.solve(f, { kicks: this.#problem.years, firstKick: 0 });
      mobilisationInto(mobilisation, this.#tables, f);
      const open = this.#oracle.open.subarray(f * years, (f + 1) * years);
      sum += bound.raise(open, mobilisation, known, Number(process.env.BR ?? 100), 1e-4 * Math.abs(known));
    }
    return sum;
  }
}

import { cellPricesInto } from './row-set.ts';

function mixValue(state: PlanState, prices: Float64Array): number {
  const { problem, rows, discount } = state.tables;
  const u = emptyUsage(rows.cells);
  cellPricesInto(u, rows, prices);
  let s = 0;
  for (let p = 0; p < problem.count; p++) s += state.worth(p, state.work, p * problem.years, u);
  for (let f = 0; f < problem.facilities.count; f++)
    for (let t = 0; t < problem.years; t++)
      if (state.users[f * problem.years + t] > 0)
        s +=
          problem.facilities.mobilisationCost[f] *
          (discount[t] + u.money[problem.facilities.district[f] * problem.years + t]);
  for (let r = 0; r < rows.count; r++) s -= prices[r] * rows.most[r];
  return s;
}
