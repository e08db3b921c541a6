import type { PlanState } from './plan-state.ts';
import { cellPricesInto, emptyUsage, type Usage } from './row-set.ts';
import { SegmentResponse } from './segment-response.ts';

/** Spends what is left under the bounds: each segment takes the path that is truly cheapest among those that fit. */
export class PlanImprovement {
  readonly #state: PlanState;
  readonly #response: SegmentResponse;
  readonly #before: Int8Array;
  readonly #prices: Usage;

  constructor(state: PlanState) {
    const { problem, rows } = state.tables;
    this.#state = state;
    this.#response = new SegmentResponse(state.tables.withPrices(emptyUsage(rows.cells)), state);
    this.#before = new Int8Array(problem.years);
    this.#prices = emptyUsage(rows.cells);
  }

  /** The plan must keep all bounds, and does so after. @returns money saved */
  run(prices: Float64Array, passes: number, cancelled: () => boolean): number {
    cellPricesInto(this.#prices, this.#state.tables.rows, prices);
    let saved = 0;
    for (let pass = 0; pass < passes && !cancelled(); pass++) {
      const gained = this.#pass();
      saved += gained;
      if (gained <= 0) break;
    }
    return saved;
  }

  /** Those first that gain most for what they take from bounds that bind. */
  #pass(): number {
    const { count } = this.#state.tables.problem;
    const moves: { p: number; rank: number }[] = [];
    for (let p = 0; p < count; p++) {
      if (!this.#response.find(p)) continue;
      const [gain, priced] = [this.#gain(p, null), this.#gain(p, this.#prices)];
      if (gain > 0) moves.push({ p, rank: gain / Math.max(1e-9 * gain, gain - priced) });
    }
    moves.sort((a, b) => b.rank - a.rank || a.p - b.p);
    let saved = 0;
    for (const { p } of moves) saved += this.#try(p);
    return saved;
  }

  #gain(p: number, prices: Usage | null): number {
    const { years } = this.#state.tables.problem;
    const now = this.#state.worth(p, this.#state.work, p * years, prices);
    return now - this.#state.worth(p, this.#response.classes, 0, prices);
  }

  #try(p: number): number {
    if (!this.#response.find(p)) return 0;
    const { years } = this.#state.tables.problem;
    const paid = this.#state.mobilised;
    const gain = this.#gain(p, null);
    this.#before.set(this.#state.work.subarray(p * years, (p + 1) * years));
    this.#state.set(p, this.#response.classes);
    const saved = gain - (this.#state.mobilised - paid);
    if (saved > 0 && this.#state.missed() === 0) return saved;
    this.#state.set(p, this.#before);
    return 0;
  }
}
