import { BranchedBound } from './branched-bound.ts';
import { mobilisationInto, type PriceOracle } from './price-oracle.ts';

export interface BoundEffort {
  /** Rounds for each facility. */ readonly rounds: number;
  /** Years decided one way and the other where that is not near enough, and rounds for each. */
  readonly branches: number;
  readonly branchRounds: number;
  /** A facility is done when its bound is within this share of its plan. */ readonly narrow: number;
}

/** Least that any plan which keeps the rows can cost: at given prices, facility by facility. Money. */
export function networkBound(oracle: PriceOracle, prices: Float64Array, effort: BoundEffort): number {
  const { problem, layout, rows } = oracle.tables;
  const { facilities, years } = problem;
  const bound = new BranchedBound(oracle.paths);
  const mobilisation = new Float64Array(years);
  oracle.reprice(prices);
  let sum = 0;
  for (let r = 0; r < rows.count; r++) sum -= prices[r] * rows.most[r];
  for (let f = 0; f < facilities.count; f++) {
    if (layout.start[f] === layout.start[f + 1]) continue;
    const known = oracle.solve(f, { kicks: 0, firstKick: 0 });
    mobilisationInto(mobilisation, oracle.tables, f);
    const open = oracle.open.subarray(f * years, (f + 1) * years);
    sum += bound.raise(open, mobilisation, known, { ...effort, narrow: effort.narrow * Math.abs(known) });
  }
  return sum;
}
