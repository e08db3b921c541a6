import type { FacilityBlocks } from './blocks.ts';
import type { Cut } from './price-bundle.ts';
import type { PriceOracle } from './price-oracle.ts';
import { emptyUsage } from './row-set.ts';

/** What the oracle answered in one round, so that any facility's part of it can be had again. */
export interface Answered {
  readonly prices: Float64Array;
  /** Row-major, facilities x years. */ readonly open: Uint8Array;
}

const LEAST_WEIGHT = 0.005;
const MOST_PLANS = 24;
const PASSES = 4;

/**
 * One plan for each facility out of those of several rounds. The bundle's weights mix rounds so that the network as a whole
 * keeps the rows at least cost; here each facility takes one of them, in turn, so that the whole stays near that mixture.
 */
export class PlanMixture {
  readonly #oracle: PriceOracle;
  readonly #blocks: FacilityBlocks;
  readonly #rounds: { answered: Answered; weight: Float64Array }[];
  /** Row-major, facilities in the search x rounds x rows. */ readonly #used: Float32Array;
  /** Row-major, facilities x rounds: cost at the final prices. */ readonly #worth: Float64Array;
  readonly #prices: Float64Array;
  readonly chosen: Int32Array;

  constructor(
    oracle: PriceOracle,
    blocks: FacilityBlocks,
    bundle: { cuts: readonly Cut[]; prices: Float64Array },
    answered: readonly Answered[],
  ) {
    this.#oracle = oracle;
    this.#blocks = blocks;
    this.#prices = bundle.prices;
    this.#rounds = activeRounds(bundle.cuts, answered, blocks.count);
    const [n, rows] = [blocks.facilities.length, bundle.prices.length];
    this.#used = new Float32Array(n * this.#rounds.length * rows);
    this.#worth = new Float64Array(n * this.#rounds.length);
    this.chosen = new Int32Array(n).fill(-1);
    this.#fill();
  }

  #fill(): void {
    const { rows } = this.#oracle.tables;
    const scratch = emptyUsage(rows.cells);
    const used = new Float64Array(rows.count);
    const n = this.#blocks.facilities.length;
    for (let k = 0; k < this.#rounds.length; k++) {
      const { prices, open } = this.#rounds[k].answered;
      this.#oracle.reprice(prices);
      for (let at = 0; at < n; at++) {
        const cost = this.#oracle.settle(this.#blocks.facilities[at], open);
        this.#oracle.usedInto(used, scratch);
        const entry = at * this.#rounds.length + k;
        this.#used.set(used, entry * rows.count);
        let worth = cost;
        for (let r = 0; r < rows.count; r++) worth += (this.#prices[r] - prices[r]) * used[r];
        this.#worth[entry] = worth;
      }
    }
  }

  /** Chooses for all facilities. */
  choose(): void {
    const { most } = this.#oracle.tables.rows;
    const over = new Float64Array(most.length);
    this.#follow(over);
    over.forEach((_, r) => {
      over[r] = -most[r];
    });
    for (let at = 0; at < this.chosen.length; at++) this.#add(over, at, this.chosen[at], 1);
    for (let pass = 0; pass < PASSES; pass++) this.#settle(over);
  }

  /** Open years of the chosen plans: row-major, facilities x years. */
  openInto(open: Uint8Array): void {
    const { years } = this.#oracle.tables.problem;
    for (let at = 0; at < this.chosen.length; at++) {
      const from = this.#blocks.facilities[at] * years;
      open.set(this.#rounds[this.chosen[at]].answered.open.subarray(from, from + years), from);
    }
  }

  /** First choice: the one that keeps the sum so far nearest to the mixture's. */
  #follow(ahead: Float64Array): void {
    for (let at = 0; at < this.chosen.length; at++) {
      for (let k = 0; k < this.#rounds.length; k++)
        this.#add(ahead, at, k, -this.#rounds[k].weight[this.#blocks.block[at]]);
      this.chosen[at] = this.#best(at, (r, used) => {
        const off = ahead[r] + used;
        return off * off;
      });
      this.#add(ahead, at, this.chosen[at], 1);
    }
  }

  /** Then each again, now with what is over or unused of the rows themselves. */
  #settle(over: Float64Array): void {
    for (let at = 0; at < this.chosen.length; at++) {
      this.#add(over, at, this.chosen[at], -1);
      this.chosen[at] = this.#best(at, (r, used) => {
        const off = over[r] + used;
        return off > 0 || this.#prices[r] > 0 ? off * off * (off > 0 ? 3 : 1) : 0;
      });
      this.#add(over, at, this.chosen[at], 1);
    }
  }

  #best(at: number, penalty: (r: number, used: number) => number): number {
    const { most, tolerance } = this.#oracle.tables.rows;
    const count = this.#rounds.length;
    let [best, least] = [0, Number.POSITIVE_INFINITY];
    for (let k = 0; k < count; k++) {
      let cost = this.#worth[at * count + k];
      const from = (at * count + k) * most.length;
      for (let r = 0; r < most.length; r++)
        cost += penalty(r, this.#used[from + r]) / Math.max(Math.abs(most[r]), 1e6 * tolerance[r]);
      if (cost < least) [best, least] = [k, cost];
    }
    return best;
  }

  #add(sum: Float64Array, at: number, k: number, times: number): void {
    if (times === 0) return;
    const from = (at * this.#rounds.length + k) * sum.length;
    for (let r = 0; r < sum.length; r++) sum[r] += times * this.#used[from + r];
  }
}

/** Rounds that the mixture rests on, the heaviest first, with their weight in each block. */
export function activeRounds(cuts: readonly Cut[], answered: readonly Answered[], blocks: number) {
  const found = new Map<number, { answered: Answered; weight: Float64Array; sum: number }>();
  for (const { round, block, weight } of cuts) {
    if (weight < LEAST_WEIGHT) continue;
    const entry = found.get(round) ?? { answered: answered[round], weight: new Float64Array(blocks), sum: 0 };
    entry.weight[block] += weight;
    entry.sum += weight;
    found.set(round, entry);
  }
  const kept = [...found.entries()].sort(([a, x], [b, y]) => y.sum - x.sum || a - b).slice(0, MOST_PLANS);
  const sums = new Float64Array(blocks);
  for (const [, { weight }] of kept) for (let b = 0; b < blocks; b++) sums[b] += weight[b];
  for (const [, { weight }] of kept) for (let b = 0; b < blocks; b++) weight[b] /= Math.max(sums[b], 1e-9);
  return kept.map(([, entry]) => entry);
}
