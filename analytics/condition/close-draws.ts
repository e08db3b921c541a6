import type { ConditionDraws, GrowthDraws } from './condition.ts';
import { type ConditionKernel, MOST_POINTS } from './condition-kernel.ts';
import type { PreparedReadings } from './prepared-readings.ts';
import { MEAN_SHARES, StandIns } from './stand-ins.ts';
import { type GridLookUps, survivalInto } from './survival-on-grid.ts';

/** Chances under the farthest draw may be off by so much; those under the others are seldom off by more. */
export const LARGEST_ERROR = 0.001;
/** A parameter that changes no chance by as much within an SD is left out for the segment. */
const LEAST_GAIN = 1e-5;

interface Parts {
  /** Turned to each segment by the caller, as `lookUps` are. */ readonly kernel: ConditionKernel;
  readonly readings: PreparedReadings;
  /** Of now, then of year ends. */ readonly lookUps: GridLookUps;
  /** How many these are. */ readonly ages: number;
}

/** The chances of one segment under all draws, from those at the few points of `StandIns` where these will do. */
export class CloseDraws {
  private readonly kernel: ConditionKernel;
  private readonly readings: PreparedReadings;
  private readonly standIns: StandIns;
  private readonly lookUps: GridLookUps;
  private readonly density = new Float64Array(MOST_POINTS);
  private readonly survival = new Float64Array(MOST_POINTS);
  /** Of each point: failed by now, then by year ends; those of the points after the first less the first's. */
  private readonly gains: Float64Array[] = [];
  private readonly chances: Float64Array;
  private readonly truth: Float64Array;
  private readonly inspectors: number[] = [];
  /** Largest gain of each point. */ private readonly sizes: number[] = [];
  /** Points with a gain worth counting. */ private readonly telling: number[] = [];
  /** Their weights, draw by draw. */ private weights = new Float64Array(0);
  /** Their gains, chance by chance. */ private tellingGains = new Float64Array(0);
  private readonly draws: number;

  constructor({ kernel, readings, lookUps, ages }: Parts, draws: ConditionDraws, growth: GrowthDraws) {
    this.kernel = kernel;
    this.readings = readings;
    this.lookUps = lookUps;
    this.draws = draws.draws;
    this.standIns = new StandIns(draws, growth);
    this.chances = new Float64Array(ages);
    this.truth = new Float64Array(ages);
  }

  /**
   * Turns to segment `i`, and writes the mean density over the draws.
   * @returns false where the farthest draw shows that the draws do not lie close enough; then ask each draw
   */
  turnTo(i: number, mean: Float64Array): boolean {
    const { kernel, standIns, gains, density, truth } = this;
    standIns.turnTo(kernel.mus, this.inspectorsOf(i));
    mean.fill(0, 0, kernel.points);
    for (let k = 0; k < standIns.count; k++) {
      const { mu, point } = standIns.points[k];
      kernel.densityAt(density, mu, point);
      const share = MEAN_SHARES[k] ?? 0;
      if (share > 0) for (let j = 0; j < kernel.points; j++) mean[j] += share * density[j];
      gains[k] ??= new Float64Array(truth.length);
      this.chancesInto(gains[k]);
      if (k > 0) for (let y = 0; y < truth.length; y++) gains[k][y] -= gains[0][y];
    }
    this.measureGains();
    const farthest = this.farthestDraw();
    kernel.densityInto(density, farthest);
    this.chancesInto(truth);
    return this.under(farthest).every((chance, y) => Math.abs(chance - truth[y]) <= LARGEST_ERROR);
  }

  /** Chances under draw `d` of having failed by now, then by year ends; overwritten by the next call. */
  under(d: number): Float64Array {
    const { chances, weights, tellingGains } = this;
    const base = this.gains[0];
    const width = this.telling.length;
    let before = 0;
    for (let y = 0, at = 0; y < chances.length; y++) {
      let chance = base[y];
      for (let j = d * width; j < (d + 1) * width; j++) chance += weights[j] * tellingGains[at++];
      if (chance < before) chance = before;
      else if (chance > 1) chance = 1;
      chances[y] = chance;
      before = chance;
    }
    return chances;
  }

  /** Finds the points with a gain worth counting, and puts these gains, and weights, in the order in which `under` asks. */
  private measureGains(): void {
    const { standIns, gains, sizes, telling, draws, chances } = this;
    telling.length = 0;
    for (let k = 1; k < standIns.count; k++) {
      sizes[k] = largestSize(gains[k]);
      if (sizes[k] > LEAST_GAIN) telling.push(k);
    }
    const width = telling.length;
    if (this.weights.length < draws * width) this.weights = new Float64Array(draws * width);
    if (this.tellingGains.length < chances.length * width) this.tellingGains = new Float64Array(chances.length * width);
    for (let j = 0; j < width; j++) {
      const weights = standIns.weights[telling[j]];
      for (let d = 0; d < draws; d++) this.weights[d * width + j] = weights[d];
      const gain = gains[telling[j]];
      for (let y = 0; y < chances.length; y++) this.tellingGains[y * width + j] = gain[y];
    }
  }

  /** The draw whose chances differ the most from those at the mean: what bends the most is off by the most. */
  private farthestDraw(): number {
    const { standIns, draws } = this;
    let [farthest, most] = [0, -1];
    for (let d = 0; d < draws; d++) {
      let reach = 0;
      for (let k = 1; k < standIns.count; k++) reach += Math.abs(standIns.weights[k][d]) * this.sizes[k];
      if (reach > most) [farthest, most] = [d, reach];
    }
    return farthest;
  }

  private chancesInto(out: Float64Array): void {
    const { density, survival, kernel, lookUps } = this;
    survivalInto(survival, density, kernel);
    lookUps.failedInto(out, survival, density);
  }

  private inspectorsOf(i: number): number[] {
    const { inspectors, readings } = this;
    inspectors.length = 0;
    for (let r = readings.start[i]; r < readings.start[i + 1]; r++) {
      const k = readings.inspector[r];
      if (k >= 0 && !inspectors.includes(k)) inspectors.push(k);
    }
    return inspectors;
  }
}

function largestSize(values: Float64Array): number {
  let most = 0;
  for (let k = 0; k < values.length; k++) most = Math.max(most, Math.abs(values[k]));
  return most;
}
