import type { FacilityBlocks } from './blocks.ts';
import type { Answered } from './mix-plans.ts';
import { PriceBundle } from './price-bundle.ts';
import type { PriceOracle } from './price-oracle.ts';

export interface PriceSearch {
  readonly blocks: FacilityBlocks;
  readonly rounds: number;
  /** Ends when the model promises less than this share of the value. */ readonly promise: number;
  /** Highest price of each row. */ readonly dearest: Float64Array;
  /** Whether facilities keep the open years that the oracle has. */ readonly keepsOpen: boolean;
  /** After each round. @returns whether to go on */ readonly goOn: (round: number) => boolean;
}

export interface FoundPrices {
  readonly bundle: PriceBundle;
  /** One for each round of the bundle. */ readonly answered: readonly Answered[];
}

/** Better and better prices of the rows. */
export function searchPrices(oracle: PriceOracle, start: Float64Array, search: PriceSearch): FoundPrices {
  const { most, tolerance } = oracle.tables.rows;
  const scale = most.map((bound, r) => Math.max(Math.abs(bound), 1e6 * tolerance[r]));
  const bundle = new PriceBundle({ most, scale, dearest: search.dearest }, start);
  const answered: Answered[] = [];
  for (let round = 0; round < search.rounds; round++) {
    const effort = search.keepsOpen ? null : { kicks: 0, firstKick: 0 };
    const cuts = oracle.answer(bundle.trial, search.blocks, effort);
    answered.push({ prices: bundle.trial.slice(), open: oracle.open.slice() });
    bundle.answer(cuts);
    if (bundle.hope - bundle.centerValue <= search.promise * Math.abs(bundle.centerValue)) break;
    if (!search.goOn(round + 1)) break;
  }
  return { bundle, answered };
}
