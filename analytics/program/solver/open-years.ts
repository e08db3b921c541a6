import type { FacilityPaths } from './facility-paths.ts';

/**
 * Which years a facility is opened for work at given prices: mobilisation is paid once for each open year, so neighbours go
 * together. Local search from the years given: opens, closes or shifts the one year that saves most, until none does.
 */
export class OpenYears {
  readonly #paths: FacilityPaths;
  readonly #trial: Uint8Array;

  constructor(paths: FacilityPaths) {
    this.#paths = paths;
    this.#trial = new Uint8Array(paths.years);
  }

  /**
   * The facility must be loaded. Overwrites `open` and leaves its cheapest paths in `paths`.
   * @param mobilisation cost of each open year at present prices, money
   * @param thorough tries shifts too
   * @returns cost with mobilisation, money
   */
  search(open: Uint8Array, mobilisation: Float64Array, thorough: boolean): number {
    const paths = this.#paths;
    if (mobilisation.every((cost) => cost <= 0)) {
      open.fill(1);
      return paths.settle(open) + this.#mobilised(mobilisation);
    }
    const most = 4 * paths.years;
    for (let step = 0; step < most; step++) {
      const cost = paths.sweep(open);
      const least = 1e-10 * Math.abs(cost);
      if (this.#closeUnused(open, mobilisation)) continue;
      const year = this.#bestChange(open, mobilisation, least);
      if (year >= 0) open[year] = 1 - open[year];
      else if (!thorough || !this.#shift(open, mobilisation, cost + this.#mobilised(mobilisation) - least)) break;
    }
    return paths.settle(open) + this.#mobilised(mobilisation);
  }

  #mobilised(mobilisation: Float64Array): number {
    const { users } = this.#paths;
    let sum = 0;
    for (let t = 0; t < users.length; t++) if (users[t] > 0) sum += mobilisation[t];
    return sum;
  }

  /** Changes no path, so what a sweep found still holds. */
  #closeUnused(open: Uint8Array, mobilisation: Float64Array): boolean {
    const { users } = this.#paths;
    let closed = false;
    for (let t = 0; t < open.length; t++) {
      if (open[t] === 0 || users[t] > 0 || mobilisation[t] <= 0) continue;
      open[t] = 0;
      closed = true;
    }
    return closed;
  }

  #bestChange(open: Uint8Array, mobilisation: Float64Array, least: number): number {
    const { addGain, dropLoss } = this.#paths;
    let [best, year] = [least, -1];
    for (let t = 0; t < open.length; t++) {
      const gain = open[t] === 1 ? mobilisation[t] - dropLoss[t] : addGain[t] - mobilisation[t];
      if (gain <= best) continue;
      [best, year] = [gain, t];
    }
    return year;
  }

  /** Moves one open year by one or two if that costs less than `cost`. */
  #shift(open: Uint8Array, mobilisation: Float64Array, cost: number): boolean {
    for (let t = 0; t < open.length; t++) {
      if (open[t] === 0) continue;
      for (const u of [t - 1, t + 1, t - 2, t + 2]) {
        if (u < 0 || u >= open.length || open[u] === 1) continue;
        this.#trial.set(open);
        [this.#trial[t], this.#trial[u]] = [0, 1];
        if (this.#paths.settle(this.#trial) + this.#mobilised(mobilisation) >= cost) continue;
        open.set(this.#trial);
        return true;
      }
    }
    return false;
  }
}
