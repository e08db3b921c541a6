import type { FacilityPaths } from './facility-paths.ts';

const FAR = 4;
const MANY = 8;

export interface SearchEffort {
  readonly kicks: number;
  readonly firstKick: number;
}

/**
 * Which years a facility is opened for work at given prices: mobilisation is paid once for each open year, so neighbours go
 * together. Local search from the years given: opens, closes or shifts the one year that saves most, until none does.
 */
export class OpenYears {
  readonly #paths: FacilityPaths;
  readonly #trial: Uint8Array;
  readonly #kicked: Uint8Array;

  constructor(paths: FacilityPaths) {
    this.#paths = paths;
    this.#trial = new Uint8Array(paths.years);
    this.#kicked = new Uint8Array(paths.years);
  }

  /**
   * The facility must be loaded. Overwrites `open` and leaves its cheapest paths in `paths`.
   * @param kicks years in which it also tries what follows if the year is opened or closed against its own interest and the
   * others are chosen anew around it; from `firstKick` on, until so many in a row have not helped
   * @returns cost with mobilisation, money
   */
  search(open: Uint8Array, mobilisation: Float64Array, { kicks, firstKick }: SearchEffort): number {
    const paths = this.#paths;
    if (mobilisation.every((cost) => cost <= 0)) {
      open.fill(1);
      return paths.settle(open) + this.#mobilised(mobilisation);
    }
    this.#descend(open, mobilisation, true, -1);
    let best = paths.settle(open) + this.#mobilised(mobilisation);
    for (let t = firstKick % open.length, idle = 0; idle < kicks; t = (t + 1) % open.length, idle++) {
      this.#kicked.set(open);
      this.#kicked[t] = 1 - open[t];
      this.#descend(this.#kicked, mobilisation, false, t);
      const cost = paths.settle(this.#kicked) + this.#mobilised(mobilisation);
      if (cost >= best - 1e-10 * Math.abs(best)) continue;
      open.set(this.#kicked);
      best = cost;
      idle = -1;
    }
    return kicks > 0 ? paths.settle(open) + this.#mobilised(mobilisation) : best;
  }

  #mobilised(mobilisation: Float64Array): number {
    const { users } = this.#paths;
    let sum = 0;
    for (let t = 0; t < users.length; t++) if (users[t] > 0) sum += mobilisation[t];
    return sum;
  }

  /** @param held year that is not to be changed, or -1 */
  #descend(open: Uint8Array, mobilisation: Float64Array, shifts: boolean, held: number): void {
    const paths = this.#paths;
    for (let step = 0; step < 4 * paths.years; step++) {
      const cost = paths.sweep(open);
      const least = 1e-10 * Math.abs(cost);
      this.#closeUnused(open, mobilisation, held);
      const year = this.#bestChange(open, mobilisation, least, held);
      if (year >= 0) {
        open[year] = 1 - open[year];
        if (open[year] === 0) this.#closeFarOnes(open, mobilisation, year, held);
      } else if (!shifts || !this.#shift(open, mobilisation, cost + this.#mobilised(mobilisation) - least)) break;
    }
  }

  /** Changes no path, so what a sweep found still holds. */
  #closeUnused(open: Uint8Array, mobilisation: Float64Array, held: number): void {
    const { users } = this.#paths;
    for (let t = 0; t < open.length; t++) if (users[t] === 0 && mobilisation[t] > 0 && t !== held) open[t] = 0;
  }

  #bestChange(open: Uint8Array, mobilisation: Float64Array, least: number, held: number): number {
    const { addGain, dropLoss } = this.#paths;
    let [best, year] = [least, -1];
    for (let t = 0; t < open.length; t++) {
      const gain = open[t] === 1 ? mobilisation[t] - dropLoss[t] : addGain[t] - mobilisation[t];
      if (gain <= best || t === held) continue;
      [best, year] = [gain, t];
    }
    return year;
  }

  /** Where many years are open, others that are better closed too, far enough from one another not to stand in for each. */
  #closeFarOnes(open: Uint8Array, mobilisation: Float64Array, closed: number, held: number): void {
    let n = 0;
    for (let t = 0; t < open.length; t++) n += open[t];
    let last = closed;
    for (let k = FAR; k < open.length && n > MANY; k++) {
      const t = (closed + k) % open.length;
      if (open[t] === 0 || t === held || Math.abs(t - last) < FAR || Math.abs(t - closed) < FAR) continue;
      if (this.#paths.dropLoss[t] >= mobilisation[t]) continue;
      open[t] = 0;
      last = t;
      n--;
    }
  }

  /** Moves one open year by one or two if that costs less than `cost`, even if all open years were paid for. */
  #shift(open: Uint8Array, mobilisation: Float64Array, cost: number): boolean {
    let paid = 0;
    for (let t = 0; t < open.length; t++) paid += open[t] * Math.max(0, mobilisation[t]);
    for (let t = 0; t < open.length; t++) {
      if (open[t] === 0 || mobilisation[t] <= 0) continue;
      for (const u of [t - 1, t + 1, t - 2, t + 2]) {
        if (u < 0 || u >= open.length || open[u] === 1 || mobilisation[u] <= 0) continue;
        this.#trial.set(open);
        [this.#trial[t], this.#trial[u]] = [0, 1];
        if (this.#paths.costOver(this.#trial) + paid - mobilisation[t] + mobilisation[u] >= cost) continue;
        open.set(this.#trial);
        return true;
      }
    }
    return false;
  }
}
