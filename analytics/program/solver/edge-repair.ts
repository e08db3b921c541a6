import { EdgeMoves } from './edge-moves.ts';
import { NO_WORK, type PlanState } from './plan-state.ts';

const SWEEPS = 3;
const RAISES = 40;
const RAISE = 1.5;

/**
 * Brings a plan that is a little over its rows under them at little cost: segments change while that lowers the cost with
 * the weight of what is over, and rows that stay over weigh more and more. What it takes from a row it fills again.
 */
export class EdgeRepair {
  readonly #moves: EdgeMoves;
  readonly #state: PlanState;

  /** @param prices of the rows, at which the plan is about the cheapest */
  constructor(state: PlanState, prices: Float64Array) {
    this.#state = state;
    this.#moves = new EdgeMoves(state, prices);
  }

  /** @returns whether all rows are kept */
  run(cancelled: () => boolean): boolean {
    for (let sweep = 0; sweep < SWEEPS && !cancelled(); sweep++) if (!this.#sweep(() => true)) break;
    for (let k = 0; k < RAISES && this.#state.missed() > 0 && !cancelled(); k++) {
      this.#moves.raise(() => RAISE);
      this.#sweep(this.#whoHelps());
    }
    return this.#state.missed() === 0;
  }

  #sweep(helps: (p: number) => boolean): boolean {
    const { count } = this.#state.tables.problem;
    let better = false;
    for (let p = 0; p < count; p++) if (helps(p) && this.#moves.improve(p, -1)) better = true;
    return better;
  }

  /** Where all rows that are over are ceilings, only segments at work in their years can help. */
  #whoHelps(): (p: number) => boolean {
    const { rows, problem } = this.#state.tables;
    const years = new Set<number>();
    for (let r = 0; r < rows.count; r++) {
      if (!this.#moves.isOver(r)) continue;
      if (rows.of[r] === 'failed' || rows.sign[r] < 0) return () => true;
      years.add(rows.year[r]);
    }
    if (years.size === 0) return () => true;
    const list = [...years];
    return (p) => list.some((t) => this.#state.work[p * problem.years + t] !== NO_WORK);
  }
}
