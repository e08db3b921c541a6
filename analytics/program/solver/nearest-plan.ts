import type { ProgramProblem } from '../program-problem.ts';
import { facilityBlocks } from './blocks.ts';
import { networkBound } from './network-bound.ts';
import type { NetworkLayout } from './network-layout.ts';
import { PathTables } from './path-tables.ts';
import { planAtPrices } from './plan-at-prices.ts';
import type { PlanState } from './plan-state.ts';
import { PriceOracle } from './price-oracle.ts';
import { searchPrices } from './price-search.ts';
import { emptyUsage, type RowSet } from './row-set.ts';

const ROUNDS = 40;
const BOUND_ROUNDS = 60;

export interface NearestPlan {
  /** Near to missing least; not yet repaired. */ readonly state: PlanState;
  /** No plan misses less, as `PlanFigures.missed`; above 0 proves that none keeps all rows. */ readonly leastMissed: number;
}

/**
 * The same decomposition with no cost but what rows are over, each as a share of its size: a row's price can then be no
 * higher than one over its size, and the dual is the least that must be missed.
 */
export function nearestPlan(
  problem: ProgramProblem,
  rows: RowSet,
  layout: NetworkLayout,
  { tables, cancelled }: { tables: PathTables; cancelled: () => boolean },
): NearestPlan {
  const oracle = new PriceOracle(new PathTables(problem, layout, rows, emptyUsage(rows.cells), 0));
  const search = {
    blocks: facilityBlocks(problem, layout, problem.count),
    rounds: ROUNDS,
    promise: 1e-6,
    dearest: rows.tolerance.map((tolerance) => 1e-6 / tolerance),
    keepsOpen: false,
    goOn: () => !cancelled(),
  };
  const found = searchPrices(oracle, search.dearest, search);
  const { state } = planAtPrices(oracle, found, search, tables);
  const effort = { rounds: BOUND_ROUNDS, branches: 0, branchRounds: 0, narrow: 1e-6 };
  const leastMissed = networkBound(oracle, found.bundle.center, effort);
  return { state, leastMissed };
}
