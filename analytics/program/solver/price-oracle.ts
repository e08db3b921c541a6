import type { FacilityBlocks } from './blocks.ts';
import { FacilityPaths } from './facility-paths.ts';
import { OpenYears, type SearchEffort } from './open-years.ts';
import type { PathTables } from './path-tables.ts';
import type { Cut } from './price-bundle.ts';
import { cellPricesInto, clearUsage, emptyUsage, rowUsageInto, type Usage } from './row-set.ts';

/** Mobilisation of a facility in each year at the present prices: money. */
export function mobilisationInto(out: Float64Array, tables: PathTables, f: number): void {
  const { facilities, years } = tables.problem;
  const cell = facilities.district[f] * years;
  for (let t = 0; t < years; t++)
    out[t] = facilities.mobilisationCost[f] * (tables.discount[t] + tables.prices.money[cell + t]);
}

/** Answers prices with what the whole network would do at them, every facility for itself. */
export class PriceOracle {
  readonly tables: PathTables;
  readonly paths: FacilityPaths;
  /** Row-major, facilities x years: open years found last, where the next search begins. */ readonly open: Uint8Array;
  readonly #search: OpenYears;
  readonly #prices: Usage;
  readonly #mobilisation: Float64Array;

  constructor(tables: PathTables) {
    const { problem, rows } = tables;
    this.tables = tables;
    this.paths = new FacilityPaths(tables);
    this.open = new Uint8Array(problem.facilities.count * problem.years).fill(1);
    this.#search = new OpenYears(this.paths);
    this.#prices = emptyUsage(rows.cells);
    this.#mobilisation = new Float64Array(problem.years);
  }

  /** Sets the prices of all that follows. */
  reprice(prices: Float64Array): void {
    cellPricesInto(this.#prices, this.tables.rows, prices);
    this.tables.reprice(this.#prices);
  }

  /** Cheapest open years of one facility at the present prices, left in `paths`. @returns cost, money */
  solve(f: number, effort: SearchEffort): number {
    const { years } = this.tables.problem;
    this.paths.load(f);
    mobilisationInto(this.#mobilisation, this.tables, f);
    return this.#search.search(this.open.subarray(f * years, (f + 1) * years), this.#mobilisation, effort);
  }

  /** Cheapest paths of one facility over given open years, left in `paths`. @returns cost, money */
  settle(f: number, open: Uint8Array): number {
    const { years } = this.tables.problem;
    this.paths.load(f);
    let cost = this.paths.settle(open.subarray(f * years, (f + 1) * years));
    mobilisationInto(this.#mobilisation, this.tables, f);
    for (let t = 0; t < years; t++) if (this.paths.users[t] > 0) cost += this.#mobilisation[t];
    return cost;
  }

  /** What the paths found last for a facility use of each row. */
  usedInto(out: Float64Array, scratch: Usage): void {
    clearUsage(scratch);
    this.paths.charge(scratch, this.tables.countsFailed);
    rowUsageInto(out, this.tables.rows, scratch);
  }

  /** @param effort null: the open years stay as they are. @returns a cut for each block */
  answer(prices: Float64Array, blocks: FacilityBlocks, effort: SearchEffort | null): Omit<Cut, 'weight' | 'round'>[] {
    const { rows } = this.tables;
    this.reprice(prices);
    const usages = Array.from({ length: blocks.count }, () => emptyUsage(rows.cells));
    const worth = new Float64Array(blocks.count);
    for (let at = 0; at < blocks.facilities.length; at++) {
      const f = blocks.facilities[at];
      worth[blocks.block[at]] += effort === null ? this.settle(f, this.open) : this.solve(f, effort);
      this.paths.charge(usages[blocks.block[at]], this.tables.countsFailed);
    }
    return usages.map((usage, block) => {
      const used = new Float64Array(rows.count);
      rowUsageInto(used, rows, usage);
      const weight = blocks.weight[block];
      for (let r = 0; r < used.length; r++) used[r] *= weight;
      const cost = worth[block] * weight - dot(prices, used);
      return { block, cost, used };
    });
  }
}

const dot = (a: Float64Array, b: Float64Array): number => {
  let sum = 0;
  for (let r = 0; r < a.length; r++) sum += a[r] * b[r];
  return sum;
};
