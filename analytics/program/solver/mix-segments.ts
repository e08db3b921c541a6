import { FacilityPaths } from './facility-paths.ts';
import { type Answered, activeRounds } from './mix-plans.ts';
import type { PathTables } from './path-tables.ts';
import type { PlanState } from './plan-state.ts';
import type { Cut } from './price-bundle.ts';
import { cellPricesInto, emptyUsage, type Usage } from './row-set.ts';

interface Source {
  readonly paths: FacilityPaths;
  readonly open: Uint8Array;
  readonly weight: Float64Array;
  readonly classes: Int8Array;
}

/**
 * One path for each segment out of those of several rounds with the same open years. The bundle's weights mix rounds so that
 * the network keeps the rows at least cost; each segment in turn takes the path that keeps the sum nearest to that mixture.
 */
export class SegmentMixture {
  readonly #state: PlanState;
  readonly #sources: Source[];
  readonly #prices: Usage;
  /** What the plan so far uses beyond the mixture. */ readonly #ahead: Float64Array;
  readonly #before: Float64Array;

  /** @param tables by which the rounds were answered */
  constructor(
    tables: PathTables,
    state: PlanState,
    bundle: { cuts: readonly Cut[]; prices: Float64Array; blocks: number },
    answered: readonly Answered[],
  ) {
    const { problem, rows } = state.tables;
    this.#state = state;
    this.#prices = emptyUsage(rows.cells);
    cellPricesInto(this.#prices, rows, bundle.prices);
    this.#ahead = new Float64Array(rows.count);
    this.#before = new Float64Array(rows.count);
    this.#sources = activeRounds(bundle.cuts, answered, bundle.blocks).map(({ answered: { prices, open }, weight }) => {
      const cells = emptyUsage(rows.cells);
      cellPricesInto(cells, rows, prices);
      const paths = new FacilityPaths(tables.withPrices(cells));
      return { paths, open, weight, classes: new Int8Array(problem.years) };
    });
  }

  /** Writes the plan of one facility. */
  take(f: number, block: number): void {
    const { years } = this.#state.tables.problem;
    for (const { paths, open } of this.#sources) {
      paths.load(f);
      paths.settle(open.subarray(f * years, (f + 1) * years));
    }
    const { from, count } = this.#sources[0].paths;
    for (let p = 0; p < count; p++) this.#choose(from + p, p, block);
  }

  #choose(position: number, p: number, block: number): void {
    let same = true;
    for (const source of this.#sources) {
      source.paths.classesInto(source.classes, p);
      same &&= source.classes.every((c, t) => c === this.#sources[0].classes[t]);
    }
    const first = this.#sources[0].classes;
    if (same) this.#state.set(position, first);
    else this.#follow(position, block);
  }

  /** Sets each path in turn to see what it uses, then the one that stays nearest. */
  #follow(position: number, block: number): void {
    const [state, ahead, before] = [this.#state, this.#ahead, this.#before];
    before.set(state.used);
    let [best, least] = [this.#sources[0], Number.POSITIVE_INFINITY];
    for (const source of this.#sources) {
      state.set(position, source.classes);
      const weight = source.weight[block];
      for (let r = 0; r < ahead.length; r++) ahead[r] -= weight * (state.used[r] - before[r]);
    }
    const { most, tolerance } = state.tables.rows;
    for (const source of this.#sources) {
      state.set(position, source.classes);
      let cost = state.worth(position, source.classes, 0, this.#prices);
      for (let r = 0; r < ahead.length; r++) {
        const off = ahead[r] + state.used[r] - before[r];
        cost += (off * off) / Math.max(Math.abs(most[r]), 1e6 * tolerance[r]);
      }
      if (cost < least) [best, least] = [source, cost];
    }
    state.set(position, best.classes);
    for (let r = 0; r < ahead.length; r++) ahead[r] += state.used[r] - before[r];
  }
}
