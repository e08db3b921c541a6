import type { FacilityPaths } from './facility-paths.ts';

const RELAX = 0.35;
const MOMENTUM = 0.6;
const DECAY = 0.7;
const STALE = 4;
/** Weight of the latest round in what segments are thought to do. */
const LATEST = 0.1;
/** Money for which it makes no difference. */
const UNDECIDED = 1e-6;

export interface BoundRounds {
  readonly rounds: number;
  /** Ends within so much of the known plan: money. */ readonly narrow: number;
}

/**
 * Least that one facility can cost at given prices, whatever years it opens. Each open year's mobilisation is shared out
 * among segments that could use it, and each pays its share for a year it works in: no more is ever paid than if the year
 * is open, so the cheapest paths with these shares bound every plan from below. Shares move towards those who work in a year.
 * Source: the Lagrangean of x <= y in facility location, Geoffrion and McBride, AIIE Trans. 10 (1978); step length after
 * Polyak (1969), with the cost of a known plan as its aim.
 */
export class FacilityBound {
  readonly #paths: FacilityPaths;
  /** Row-major, segments x years: share of mobilisation, money. */ #share = new Float64Array(0);
  #path = new Uint8Array(0);
  #drift = new Float32Array(0);
  #sum = new Float64Array(64);
  #mean = new Float64Array(64);
  readonly #toGo: Float64Array;
  readonly #next: Int8Array;
  readonly #users: Int32Array;
  readonly #payers: Int32Array;
  /** In each year, which part of those who pay for it work in it, over the rounds. */ readonly #use: Float64Array;
  readonly #all: Uint8Array;

  constructor(paths: FacilityPaths) {
    this.#paths = paths;
    this.#toGo = new Float64Array(paths.years);
    this.#next = new Int8Array(paths.years);
    this.#users = new Int32Array(paths.years);
    this.#payers = new Int32Array(paths.years);
    this.#use = new Float64Array(paths.years);
    this.#all = new Uint8Array(paths.years).fill(1);
  }

  /**
   * The facility must be loaded, and `open` be the open years of a plan that costs `known`.
   * @returns money; at most the cost of any plan of the facility at the prices
   */
  raise(open: Uint8Array, mobilisation: Float64Array, known: number, effort: BoundRounds): number {
    this.#makeRoom();
    this.#begin(open, mobilisation);
    return this.#climb(mobilisation, known, effort);
  }

  /** Goes on from shares found before, where some years now cost nothing or may not be worked in. */
  resume(share: Float64Array, mobilisation: Float64Array, known: number, effort: BoundRounds): number {
    const { count, years } = this.#paths;
    this.#share.set(share);
    for (let at = 0, t = 0; at < count * years; at++, t = t + 1 === years ? 0 : t + 1)
      if (mobilisation[t] <= 0) this.#share[at] = 0;
    return this.#climb(mobilisation, known, effort);
  }

  /** A copy of the shares as they are. */
  shares(): Float64Array {
    return this.#share.slice(0, this.#paths.count * this.#paths.years);
  }

  /** Year that segments are least of one mind about, for what it costs; -1: they are about all. */
  undecided(mobilisation: Float64Array): number {
    let [best, year] = [UNDECIDED, -1];
    for (let t = 0; t < mobilisation.length; t++) {
      const score = Math.max(0, mobilisation[t]) * Math.min(this.#use[t], 1 - this.#use[t]);
      if (score > best) [best, year] = [score, t];
    }
    return year;
  }

  #climb(mobilisation: Float64Array, known: number, { rounds, narrow }: BoundRounds): number {
    let gift = 0;
    for (const cost of mobilisation) gift += Math.min(0, cost);
    this.#use.fill(0);
    if (mobilisation.every((cost) => cost <= 0)) return this.#paths.settle(this.#all) + gift;
    this.#drift.fill(0, 0, this.#paths.count * this.#paths.years);
    let best = Number.NEGATIVE_INFINITY;
    let relax = RELAX;
    let stale = 0;
    for (let round = 0; round < rounds; round++) {
      const value = this.#value() + gift;
      if (value > best + 1e-3 * (known - best)) stale = 0;
      else if (++stale % STALE === 0) relax *= DECAY;
      best = Math.max(best, value);
      if (known - best <= narrow) break;
      if (!this.#step(relax * Math.max(known - value, 1e-12 * Math.abs(known)), mobilisation)) break;
    }
    return Math.min(best, known);
  }

  #makeRoom(): void {
    const { count, years } = this.#paths;
    if (this.#share.length >= count * years) return;
    this.#share = new Float64Array(count * years);
    this.#path = new Uint8Array(count * years);
    this.#drift = new Float32Array(count * years);
  }

  /** Open years are paid by those who would lose by closing them; closed ones by those who would use them if free. */
  #begin(open: Uint8Array, mobilisation: Float64Array): void {
    const paths = this.#paths;
    const { count, years } = paths;
    this.#share.fill(0, 0, count * years);
    paths.lossesInto(this.#share, open);
    for (let t = 0; t < years; t++) if (open[t] === 1) this.#scale(t, mobilisation[t], true);
    paths.gainsInto(this.#share, open);
    for (let t = 0; t < years; t++) if (open[t] === 0) this.#scale(t, mobilisation[t], false);
  }

  #scale(t: number, mobilisation: number, whole: boolean): void {
    const { count, years, may, lengthM } = this.#paths;
    let [sum, all] = [0, 0];
    for (let p = 0, at = t; p < count; p++, at += years) {
      sum += this.#share[at];
      all += may[at] === 1 ? lengthM[p] : 0;
    }
    const cost = Math.max(0, mobilisation);
    const scale = sum > cost || (whole && sum > 0) ? cost / sum : 1;
    const rest = all > 0 ? Math.max(0, cost - sum * scale) / all : 0;
    for (let p = 0, at = t; p < count; p++, at += years)
      this.#share[at] = this.#share[at] * scale + (may[at] === 1 ? rest * lengthM[p] : 0);
  }

  /** Cheapest paths with shares paid. Rounded so as not to exceed. */
  #value(): number {
    const { count, years, first, rest, may, lengthM, table } = this.#paths;
    const [toGo, next, path, share] = [this.#toGo, this.#next, this.#path, this.#share];
    this.#users.fill(0);
    let sum = 0;
    for (let p = 0; p < count; p++) {
      const { leg, arcStart, arcYear, arcCost } = table[p];
      const base = p * years;
      const perLength = 1 / lengthM[p];
      let [best, at] = [rest[p], years];
      for (let t = years - 1; t >= 0; t--) {
        path[base + t] = 0;
        if (may[base + t] === 0) {
          toGo[t] = Number.POSITIVE_INFINITY;
          continue;
        }
        const row = t * (years + 1);
        let least = leg[row + years];
        let to = years;
        for (let k = arcStart[t]; k < arcStart[t + 1]; k++) {
          const cost = arcCost[k] + toGo[arcYear[k]];
          if (cost < least) {
            least = cost;
            to = arcYear[k];
          }
        }
        least += share[base + t] * perLength;
        toGo[t] = least;
        next[t] = to;
        const cost = first[base + t] + least;
        if (cost < best) {
          best = cost;
          at = t;
        }
      }
      sum += best * lengthM[p];
      for (; at < years; at = next[at]) {
        path[base + at] = 1;
        this.#users[at]++;
      }
    }
    return sum;
  }

  /** @returns whether any share can move */
  #step(gap: number, mobilisation: Float64Array): boolean {
    const { count, years } = this.#paths;
    const [users, payers, share, path, drift] = [this.#users, this.#payers, this.#share, this.#path, this.#drift];
    payers.fill(0);
    for (let at = 0, end = count * years, t = 0; at < end; at++, t = t + 1 === years ? 0 : t + 1)
      if (share[at] > 0 || path[at] === 1) payers[t]++;
    const mean = this.#mean;
    for (let t = 0; t < years; t++) {
      mean[t] = payers[t] > 0 ? users[t] / payers[t] : 0;
      this.#use[t] += LATEST * (mean[t] - this.#use[t]);
    }
    let square = 0;
    for (let at = 0, end = count * years, t = 0; at < end; at++, t = t + 1 === years ? 0 : t + 1) {
      if (share[at] <= 0 && path[at] === 0) {
        drift[at] = 0;
        continue;
      }
      const d = MOMENTUM * drift[at] + (1 - MOMENTUM) * (path[at] - mean[t]);
      drift[at] = d;
      square += d * d;
    }
    if (square <= 1e-12) return false;
    const step = gap / square;
    const sum = this.#sum.fill(0);
    for (let at = 0, end = count * years, t = 0; at < end; at++, t = t + 1 === years ? 0 : t + 1) {
      if (share[at] <= 0 && path[at] === 0) continue;
      const moved = share[at] + step * drift[at];
      share[at] = Math.max(0, moved);
      sum[t] += share[at];
    }
    for (let t = 0; t < years; t++)
      sum[t] = sum[t] > Math.max(0, mobilisation[t]) ? Math.max(0, mobilisation[t]) / sum[t] : 1;
    for (let at = 0, end = count * years, t = 0; at < end; at++, t = t + 1 === years ? 0 : t + 1) share[at] *= sum[t];
    return true;
  }
}
