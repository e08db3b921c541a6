import { effectUnder, type SharedEffects } from '../forecast/shared-effects.ts';
import type { Family } from '../survival/aft.ts';
import type { ConditionDraws, GrowthDraws } from './condition.ts';
import { fallingExponential } from './falling-exponential.ts';
import { logNormalCdf } from './normal-tail.ts';
import { AT_LEAST, MEASURED, type PreparedReadings } from './prepared-readings.ts';
import { COARSE, type GrowthPoint, SealIntegrand, shiftOf } from './seal-integrand.ts';

/** Draws, spread evenly over all, whose ranges are joined to make the grid of a segment. */
const DRAWS_FOR_GRID = 8;
/** Steps of the grid per width of the sharpest feature. */
const STEPS_PER_WIDTH = 2.5;
const STEPS_PER_EDGE = 2;
const FEWEST_POINTS = 12;
/** The grid of a draw ends where its density is e^-13, 2e-6, of its highest. */
const GRID = { ...COARSE, drop: 13 };
export const MOST_POINTS = 400;

/** What the kernel knows of the segments: one covariate row each, readings in the same order. */
export interface KernelInput {
  /** Row-major, segments x coefficients. */ readonly covariates: Float64Array;
  readonly readings: PreparedReadings;
  /** Effects of districts, facilities and lots on them. */ readonly shared?: SharedEffects | null;
}

/**
 * Density of y = log T of one segment under each draw, given its readings and soundness at its last look, on an even grid of
 * y that all draws share. Buffers are reused; nothing is allocated from one segment or draw to the next.
 */
export class ConditionKernel {
  /** Lowest point of the grid, its step, and how many points there are. */ low = 0;
  step = 1;
  points = 0;
  /** Mean log life of the segment under each draw. */ readonly mus: Float64Array;
  private readonly input: KernelInput;
  private readonly draws: ConditionDraws;
  private readonly family: Family;
  private readonly width: number;
  private readonly integrand: SealIntegrand;
  /** One for each draw. */ private readonly drawn: readonly GrowthPoint[];
  private row = 0;
  private censored = false;

  /** `growth`: that of the draws, which a fit with `used: false` does not have. */
  constructor(input: KernelInput, draws: ConditionDraws, growth: GrowthDraws, family: Family) {
    this.input = input;
    this.draws = draws;
    this.family = family;
    this.width = draws.coefficients.length / draws.draws;
    this.mus = new Float64Array(draws.draws);
    this.integrand = new SealIntegrand(input.readings, family, GRID);
    const { exponent, readingSd, inspectors, inspectorShift } = growth;
    this.drawn = Array.from({ length: draws.draws }, (_, d) => ({
      ...{ sigma: draws.scale[d], exponent: exponent[d], readingSd: readingSd[d] },
      shift: inspectorShift.subarray(d * inspectors, (d + 1) * inspectors),
    }));
  }

  /** Turns to segment `i`, sound at the age with this logarithm (-Infinity: never seen), and lays its grid. */
  turnTo(i: number, soundLog: number): void {
    const { start, kind } = this.input.readings;
    this.row = i;
    this.censored = false;
    for (let r = start[i]; r < start[i + 1]; r++) if (kind[r] !== MEASURED) this.censored = true;
    this.fillMus();
    this.layGrid(soundLog);
  }

  private fillMus(): void {
    const { mus, row, width } = this;
    const { covariates, shared } = this.input;
    const { coefficients, draws } = this.draws;
    for (let d = 0; d < draws; d++) {
      let mu = shared ? effectUnder(shared, row, d, draws) : 0;
      for (let k = 0; k < width; k++) mu += coefficients[d * width + k] * covariates[row * width + k];
      mus[d] = mu;
    }
  }

  private layGrid(soundLog: number): void {
    const { integrand, drawn, mus, row } = this;
    const { range } = integrand;
    let [low, high, width] = [Infinity, -Infinity, Infinity];
    const used = Math.min(DRAWS_FOR_GRID, drawn.length);
    for (let k = 0; k < used; k++) {
      const d = Math.floor((k * drawn.length) / used);
      integrand.turnTo(drawn[d]);
      integrand.load(row, mus[d], soundLog, Infinity);
      integrand.findRange(integrand.guess());
      low = Math.min(low, range[1]);
      high = Math.max(high, range[2]);
      width = Math.min(width, range[3] / STEPS_PER_WIDTH);
      const edge = drawn[d].readingSd / drawn[d].exponent;
      if (this.censored && integrand.lastEdge() + 5 * edge > range[1]) width = Math.min(width, edge / STEPS_PER_EDGE);
    }
    this.low = low;
    this.points = Math.min(MOST_POINTS, Math.max(FEWEST_POINTS, Math.ceil((high - low) / width) + 1));
    this.step = (high - low) / (this.points - 1);
  }

  /** Writes the density of y under draw `d` at the points of the grid; it integrates to 1 by `cellMass`. */
  densityInto(out: Float64Array, d: number): void {
    this.densityAt(out, this.mus[d], this.drawn[d]);
  }

  /** The same at any point of the parameters. */
  densityAt(out: Float64Array, mu: number, point: GrowthPoint): void {
    const scale = this.unscaledInto(out, mu, point);
    for (let j = 0; j < this.points; j++) out[j] *= scale;
  }

  /** Adds the density of y under draw `d` to `sum`. `scratch` is overwritten. */
  addDensity(sum: Float64Array, scratch: Float64Array, d: number): void {
    const scale = this.unscaledInto(scratch, this.mus[d], this.drawn[d]);
    for (let j = 0; j < this.points; j++) sum[j] += scale * scratch[j];
  }

  /** Writes the density over its highest value and returns what makes it integrate to 1. */
  private unscaledInto(out: Float64Array, mu: number, point: GrowthPoint): number {
    const { points, step } = this;
    const perSigma = 1 / point.sigma;
    logLifeInto(out, this.family, (this.low - mu) * perSigma, step * perSigma, points);
    this.addReadings(out, point);
    let largest = -Infinity;
    for (let j = 0; j < points; j++) if (out[j] > largest) largest = out[j];
    let sum = 0;
    for (let j = 0; j < points; j++) {
      const value = fallingExponential(out[j] - largest);
      out[j] = value;
      sum += value;
    }
    const last = points - 1;
    sum -= endPart(out[0], out[1], out[2], out[3]) + endPart(out[last], out[last - 1], out[last - 2], out[last - 3]);
    return 1 / (sum * step);
  }

  private addReadings(out: Float64Array, { exponent, readingSd, shift }: GrowthPoint): void {
    const { points, step, low, row } = this;
    const { start, logAge, level, kind, inspector, ageVariance } = this.input.readings;
    let [sum, weights] = [0, 0];
    for (let r = start[row]; r < start[row + 1]; r++) {
      const variance = readingSd * readingSd + exponent * exponent * ageVariance[r];
      const pointer = logAge[r] - (level[r] - shiftOf(shift, inspector[r])) / exponent;
      if (kind[r] === MEASURED) {
        sum += (pointer - low) / variance;
        weights += 1 / variance;
        continue;
      }
      const rate = exponent / Math.sqrt(variance);
      const zeta = rate * (low - pointer);
      const sign = kind[r] === AT_LEAST ? -1 : 1;
      // zeta rises along the grid, so a reading that is certain at its first point is certain at all.
      if (sign > 0 && zeta > 8) continue;
      for (let j = 0; j < points; j++) out[j] += logNormalCdf(sign * (zeta + j * rate * step));
    }
    if (weights === 0) return;
    const half = 0.5 * exponent * exponent * weights;
    const from = -sum / weights;
    for (let j = 0; j < points; j++) {
      const off = from + j * step;
      out[j] -= half * off * off;
    }
  }
}

/** Log density of W at z, z + step, and so on, up to a constant. */
function logLifeInto(out: Float64Array, family: Family, z: number, step: number, points: number): void {
  if (family === 'lognormal') {
    for (let j = 0; j < points; j++) {
      const at = z + j * step;
      out[j] = -0.5 * at * at;
    }
    return;
  }
  // e^z is a geometric sequence along the grid: no exponential inside the loop.
  const growth = Math.exp(step);
  let power = Math.exp(z);
  if (family === 'loglogistic')
    for (let j = 0; j < points; j++, power *= growth) out[j] = z + j * step - 2 * Math.log1p(power);
  else for (let j = 0; j < points; j++, power *= growth) out[j] = z + j * step - power;
}

/** What the plain sum of a function's values has too much at one end, for the rule that `cellMass` adds up to. */
const endPart = (a: number, b: number, c: number, d: number): number => (16 * a - 7 * b + 4 * c - d) / 24;

/**
 * Integral over cell `j` of a function known at the points of an even grid, in steps: that of the cubic through the four
 * nearest points. Source: the cubic Adams-Moulton weights, Abramowitz and Stegun 25.4.
 */
export function cellMass(values: Float64Array, j: number, points: number): number {
  if (j === 0) return (9 * values[0] + 19 * values[1] - 5 * values[2] + values[3]) / 24;
  if (j === points - 2) return (9 * values[j + 1] + 19 * values[j] - 5 * values[j - 1] + values[j - 2]) / 24;
  return (13 * (values[j] + values[j + 1]) - values[j - 1] - values[j + 2]) / 24;
}
