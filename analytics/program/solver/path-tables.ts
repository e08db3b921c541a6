import type { ProgramProblem } from '../program-problem.ts';
import type { NetworkLayout, SegmentGroup } from './network-layout.ts';
import type { RowSet, Usage } from './row-set.ts';

/** Discount factor of the end of each year, 1 for the planning year. */
export const discountFactors = (ratePerYear: number, years: number): Float64Array =>
  Float64Array.from({ length: years }, (_, t) => (1 + ratePerYear) ** -t);

/** What one metre of a group costs on its way from one reseal to the next, at given prices of rows. */
export interface PathTable {
  /** Cost of one metre failed at the end of each year; 0 once the pavement is gone. */ readonly open: Float64Array;
  /**
   * Row-major, years x (years + 1): a reseal at the end of year t with the best class for it, then the open cost until
   * that of year u; u = years: none follows within the horizon, all later cost included.
   */
  readonly leg: Float64Array;
  /**
   * Legs to a next reseal that can be part of a cheapest path, whatever is paid on top for years of work: those of year t
   * are `arcStart[t]` up to `arcStart[t + 1]`.
   */
  readonly arcStart: Int32Array;
  readonly arcYear: Int8Array;
  readonly arcCost: Float64Array;
  /** Class of each leg. */ readonly legClass: Int8Array;
  /** The first reseal may be no later; -1 where none may be at all. */ readonly lastFirst: number;
  /** Whether it may go without any. */ readonly mayRest: boolean;
  /** 1 for cost that follows the horizon, 0 where it does not count. */ readonly finalWeight: number;
  version: number;
}

/** Tables of all groups: made when asked for, remade after the prices change. Holds so many at a time. */
const SLOTS = 4096;

/** Only two paths of a segment differ by years and classes; all else of them is in these tables. */
export class PathTables {
  readonly problem: ProgramProblem;
  readonly layout: NetworkLayout;
  readonly rows: RowSet;
  /** Of the end of each year, times the weight of the objective. */ readonly discount: Float64Array;
  /** Whether what is not work counts. */ readonly countsRisk: boolean;
  /** Whether any row is about failed length. */ readonly countsFailed: boolean;
  #prices: Usage;
  #version = 0;
  readonly #weight: number;
  readonly #least: Float64Array;
  readonly #held: (PathTable & { group: number })[] = [];

  /** @param weight of the objective; 0: only the prices of rows count */
  constructor(problem: ProgramProblem, layout: NetworkLayout, rows: RowSet, prices: Usage, weight = 1) {
    this.problem = problem;
    this.layout = layout;
    this.rows = rows;
    this.discount = discountFactors(problem.discountRatePerYear, problem.years).map((factor) => weight * factor);
    this.countsRisk = problem.objective === 'least-cost' && weight > 0;
    this.countsFailed = rows.of.includes('failed');
    this.#prices = prices;
    this.#weight = weight;
    this.#least = new Float64Array(problem.years);
  }

  /** The same segments and objective at other prices. */
  withPrices(prices: Usage): PathTables {
    return new PathTables(this.problem, this.layout, this.rows, prices, this.#weight);
  }

  get prices(): Usage {
    return this.#prices;
  }

  /** Takes other prices, or the same after they were written anew. */
  reprice(prices: Usage): void {
    this.#prices = prices;
    this.#version++;
  }

  at(group: number): PathTable {
    const slot = group % SLOTS;
    let held = this.#held[slot];
    if (held === undefined) {
      held = { ...emptyTable(this.problem.years), group: -1 };
      this.#held[slot] = held;
    }
    if (held.group !== group || held.version !== this.#version) {
      this.#fill(held, this.layout.groups[group]);
      held.group = group;
      held.version = this.#version;
    }
    return held;
  }

  #fill(table: PathTable, group: SegmentGroup): void {
    const { types, years } = this.problem;
    const { discount } = this;
    const { kinds } = this.rows.cells;
    const failedAt = (group.district * kinds + group.kind) * years;
    const openCost = this.countsRisk ? types.openCostPerMYear[group.type] : 0;
    for (let t = 0; t < years; t++)
      table.open[t] = t < group.end ? openCost * discount[t] + this.#prices.failed[failedAt + t] : 0;
    table.leg.fill(Number.POSITIVE_INFINITY);
    for (let c = 0; c < types.classes; c++)
      if (types.curve[group.type * types.classes + c] >= 0) this.#addClass(table, group, c);
    findArcs(table, years, this.#least);
    Object.assign(table, {
      lastFirst: group.required.length > 0 ? group.required[0] : group.end - 1,
      mayRest: group.required.length === 0,
      finalWeight: this.countsRisk && group.end === years ? 1 : 0,
    });
  }

  /** Takes each leg of the class that is cheaper than those seen so far. */
  #addClass(table: PathTable, group: SegmentGroup, c: number): void {
    const { types, years } = this.problem;
    const { discount } = this;
    const k = group.type * types.classes + c;
    const failed = types.curve[k] * (types.oldestAge + 1);
    const [moneyAt, finalAt] = [group.district * years, k * (years + 1)];
    const counts = this.countsRisk && group.end === years;
    for (let t = 0; t < group.end; t++) {
      const must = group.required.includes(t);
      if (must && group.requiredClass >= 0 && group.requiredClass !== c) continue;
      const next = group.required.find((year) => year > t);
      const price = types.pricePerM[k] * (discount[t] + this.#prices.money[moneyAt + t]);
      let cost = price + this.#prices.length[moneyAt + t];
      for (let u = t + 1; u < group.end; u++) {
        take(table, t * (years + 1) + u, cost, c);
        if (u === next) break;
        cost += table.open[u] * types.failedByAge[failed + Math.min(u - t, types.oldestAge)];
      }
      if (next !== undefined) continue;
      const final = counts ? types.finalCostPerM[finalAt + years - 1 - t] * discount[years - 1] : 0;
      take(table, t * (years + 1) + years, cost + final, c);
    }
  }
}

const take = ({ leg, legClass }: PathTable, at: number, cost: number, c: number): void => {
  if (cost >= leg[at]) return;
  leg[at] = cost;
  legClass[at] = c;
};

/** A leg that costs more than ending here, even if all that follows it is free of mobilisation, is in no cheapest path. */
function findArcs({ leg, arcStart, arcYear, arcCost }: PathTable, years: number, least: Float64Array): void {
  for (let t = years - 1; t >= 0; t--) {
    const row = t * (years + 1);
    least[t] = leg[row + years];
    for (let u = t + 1; u < years; u++) least[t] = Math.min(least[t], leg[row + u] + least[u]);
  }
  let n = 0;
  for (let t = 0; t < years; t++) {
    arcStart[t] = n;
    const row = t * (years + 1);
    for (let u = t + 1; u < years; u++) {
      if (!(leg[row + u] + least[u] < leg[row + years])) continue;
      [arcYear[n], arcCost[n]] = [u, leg[row + u]];
      n++;
    }
  }
  arcStart[years] = n;
}

const emptyTable = (years: number): PathTable => ({
  open: new Float64Array(years),
  leg: new Float64Array(years * (years + 1)),
  legClass: new Int8Array(years * (years + 1)),
  arcStart: new Int32Array(years + 1),
  arcYear: new Int8Array((years * (years - 1)) / 2),
  arcCost: new Float64Array((years * (years - 1)) / 2),
  lastFirst: 0,
  mayRest: true,
  finalWeight: 0,
  version: -1,
});
