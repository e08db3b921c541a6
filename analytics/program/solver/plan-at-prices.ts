import type { FacilityBlocks } from './blocks.ts';
import { PlanMixture } from './mix-plans.ts';
import { SegmentMixture } from './mix-segments.ts';
import type { PathTables } from './path-tables.ts';
import { PlanState } from './plan-state.ts';
import type { PriceOracle } from './price-oracle.ts';
import { type FoundPrices, type PriceSearch, searchPrices } from './price-search.ts';

export interface PricedPlan {
  readonly state: PlanState;
  /** Of the rows, for the open years of the plan. */ readonly prices: Float64Array;
}

/** So many rounds find what the rows are worth once the open years are settled. */
const SETTLED_ROUNDS = 24;
const SETTLED_PROMISE = 2e-6;

/**
 * A plan that nearly keeps all rows: open years of each facility out of the mixture that the prices rest on; prices anew for
 * these; then a path for each segment out of the new mixture.
 * @param tables by which the plan is to be judged
 */
export function planAtPrices(
  oracle: PriceOracle,
  found: FoundPrices,
  search: PriceSearch,
  tables: PathTables,
): PricedPlan {
  const { blocks } = search;
  const mixture = new PlanMixture(
    oracle,
    blocks,
    { cuts: found.bundle.cuts, prices: found.bundle.center },
    found.answered,
  );
  mixture.choose();
  mixture.openInto(oracle.open);
  const rounds = SETTLED_ROUNDS;
  const settle = { ...search, rounds, promise: SETTLED_PROMISE, keepsOpen: true, goOn: () => true };
  const settled = searchPrices(oracle, found.bundle.center, settle);
  const prices = settled.bundle.center;
  return { state: pathsOf(oracle, blocks, settled, tables), prices };
}

function pathsOf(
  oracle: PriceOracle,
  blocks: FacilityBlocks,
  { bundle, answered }: FoundPrices,
  tables: PathTables,
): PlanState {
  const state = new PlanState(tables);
  const mixture = new SegmentMixture(
    oracle.tables,
    state,
    { cuts: bundle.cuts, prices: bundle.center, blocks: blocks.count },
    answered,
  );
  for (let at = 0; at < blocks.facilities.length; at++) mixture.take(blocks.facilities[at], blocks.block[at]);
  return state;
}
