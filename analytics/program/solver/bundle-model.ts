import type { BundleRows, Cut } from './price-bundle.ts';

const SWEEPS = 200;
const MOVES_IN_BLOCK = 6;

/**
 * Best prices for a bundle of cuts, held near a centre. Its dual looks for the mixture of each block's plans: prices follow
 * from what the mixture uses, and weight moves between two plans of one block until none is worth more than another.
 */
export class BundleModel {
  readonly #blocks: Cut[][] = [];
  readonly #rows: BundleRows;
  readonly #center: Float64Array;
  readonly #step: number;
  readonly #used: Float64Array;
  readonly #change: Float64Array;
  readonly prices: Float64Array;

  /** @param cuts their weights are where it begins, and are overwritten */
  constructor(cuts: readonly Cut[], rows: BundleRows, center: Float64Array, step: number) {
    for (const cut of cuts) {
      this.#blocks[cut.block] ??= [];
      this.#blocks[cut.block].push(cut);
    }
    this.#blocks = this.#blocks.filter((block) => block !== undefined);
    this.#rows = rows;
    this.#center = center;
    this.#step = step;
    const each = () => new Float64Array(center.length);
    [this.#used, this.#change, this.prices] = [each(), each(), each()];
    for (const block of this.#blocks) this.#start(block);
  }

  /** A new block begins with its latest cut; others go on from their weights. */
  #start(block: readonly Cut[]): void {
    const sum = block.reduce((all, cut) => all + cut.weight, 0);
    for (const cut of block) {
      if (sum > 1e-9) cut.weight /= sum;
      else cut.weight = cut === block[block.length - 1] ? 1 : 0;
      if (cut.weight > 0) for (let r = 0; r < cut.used.length; r++) this.#used[r] += cut.weight * cut.used[r];
    }
  }

  /** @param floor value at the centre: a small part of the gain over it need not be exact. @returns value at the prices */
  solve(floor: number): number {
    for (let sweep = 0; sweep < SWEEPS; sweep++) {
      let apart = 0;
      for (const block of this.#blocks) apart += this.#balance(block);
      this.#price();
      if (sweep % 5 !== 4 && apart > 0) continue;
      const value = this.#value();
      if (apart <= 1e-2 * Math.max(value - floor, 1e-9 * Math.abs(value))) break;
    }
    this.#price();
    return this.#value();
  }

  /** @returns how far the block's mixture was from its cheapest cut at first */
  #balance(block: readonly Cut[]): number {
    let first = 0;
    for (let move = 0; move < MOVES_IN_BLOCK; move++) {
      this.#price();
      let [low, high] = [block[0], null as Cut | null];
      let [lowWorth, highWorth, mixture] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0];
      for (const cut of block) {
        const worth = worthAt(this.prices, cut);
        if (worth < lowWorth) [low, lowWorth] = [cut, worth];
        if (cut.weight > 0 && worth > highWorth) [high, highWorth] = [cut, worth];
        mixture += cut.weight * worth;
      }
      if (move === 0) first = mixture - lowWorth;
      if (high === null || high === low || highWorth - lowWorth <= 1e-12 * Math.abs(lowWorth)) break;
      this.#shift(high, low, highWorth - lowWorth);
    }
    return first;
  }

  #priceAt(r: number, used: number): number {
    const { most, scale, dearest } = this.#rows;
    const price = this.#center[r] + (this.#step * (used - most[r])) / scale[r];
    return price < 0 ? 0 : Math.min(price, dearest[r]);
  }

  #price(): void {
    for (let r = 0; r < this.prices.length; r++) this.prices[r] = this.#priceAt(r, this.#used[r]);
  }

  /** Moves weight until both are worth the same at the prices that follow, or the dearer has none left. */
  #shift(from: Cut, to: Cut, apart: number): void {
    for (let r = 0; r < this.#used.length; r++) this.#change[r] = to.used[r] - from.used[r];
    const moved = this.#levelled(from.weight, apart);
    from.weight = moved === from.weight ? 0 : from.weight - moved;
    to.weight += moved;
    for (let r = 0; r < this.#used.length; r++) this.#used[r] += moved * this.#change[r];
  }

  #levelled(most: number, apart: number): number {
    if (this.#risen(most) <= apart) return most;
    let [low, high] = [0, most];
    for (let halving = 0; halving < 30; halving++) {
      const middle = (low + high) / 2;
      if (this.#risen(middle) <= apart) low = middle;
      else high = middle;
    }
    return low;
  }

  /** How much nearer in worth the two come when so much weight has moved. */
  #risen(moved: number): number {
    let sum = 0;
    for (let r = 0; r < this.#used.length; r++) {
      const change = this.#change[r];
      if (change !== 0) sum += (this.#priceAt(r, this.#used[r] + moved * change) - this.prices[r]) * change;
    }
    return sum;
  }

  #value(): number {
    return this.valueAt(this.prices);
  }

  /** Least of all cuts of each block, less the price of the bounds. */
  valueAt(prices: Float64Array): number {
    let value = 0;
    for (const block of this.#blocks) value += Math.min(...block.map((cut) => worthAt(prices, cut)));
    for (let r = 0; r < prices.length; r++) value -= prices[r] * this.#rows.most[r];
    return value;
  }
}

function worthAt(prices: Float64Array, { cost, used }: Cut): number {
  let worth = cost;
  for (let r = 0; r < used.length; r++) worth += prices[r] * used[r];
  return worth;
}
