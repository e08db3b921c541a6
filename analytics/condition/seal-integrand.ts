import type { Family } from '../survival/aft.ts';
import { type FamilyTerms, familyTerms, newTerms } from '../survival/row-terms.ts';
import { gaussLegendre, type QuadratureRule } from './gauss-legendre.ts';
import { logNormalCdf, logNormalCdfInto } from './normal-tail.ts';
import { AT_LEAST, MEASURED, type PreparedReadings } from './prepared-readings.ts';

/** One point of the parameters that all seals share. */
export interface GrowthPoint {
  readonly sigma: number;
  /** m. */ readonly exponent: number;
  /** tau. */ readonly readingSd: number;
  /** c; an inspector beyond its length has shift 0. */ readonly shift: Float64Array;
}

const HALF_LOG_2PI = 0.5 * Math.log(2 * Math.PI);
/** How near quadrature comes to the integral of one seal. */
export interface Precision {
  /** What is left beyond the range is about e to minus this. */ readonly drop: number;
  /** Half-length of a panel, in widths of its sharpest feature, up to which each of `RULES` is near enough. */
  readonly reach: readonly number[];
}

/** To about 1e-7. */
export const FINE: Precision = { drop: 18, reach: [1.5, 2.8, 4.2, 7] };
/** To about 1e-5, which among very many seals is far below what any of them tells. */
export const COARSE: Precision = { drop: 12, reach: [3, 4.4, 6.5, 9] };
/** With more rows than this `COARSE` will do. */
const ROWS_FOR_FINE = 50_000;
export const precisionFor = (rows: number): Precision => (rows > ROWS_FOR_FINE ? COARSE : FINE);
/** Mode is found to this share of the integrand's width: it only places the range. */
const MODE_TOLERANCE = 0.05;
const RULES: readonly QuadratureRule[] = [8, 12, 16, 24].map(gaussLegendre);
const MOST_PANELS = 16;
/** A life density alone is no sharper than this many sigma. */
const LIFE_WIDTH = 0.5;
/** The edge of a censored reading is level beyond this many of its widths. */
const EDGE_END = 5;

/**
 * What one seal's readings and life model say together about y = log T: log f(y) + sum_j log p(reading j | y), without
 * the bounds from the threshold. It is concave in y, for every family here. Buffers are reused; nothing is allocated.
 */
export class SealIntegrand {
  /** Value, first and second derivative at the last y evaluated. */ readonly at = new Float64Array(3);
  /** Mode within the bounds, then lower and upper end of the range that carries the mass, then width of the peak. */
  readonly range = new Float64Array(4);
  /** Quadrature points of the range, and their weights; the first `nodes` count. */
  readonly nodeAt = new Float64Array(24 * (MOST_PANELS + 1));
  readonly nodeWeight = new Float64Array(24 * (MOST_PANELS + 1));
  nodes = 0;
  private readonly readings: PreparedReadings;
  private readonly terms: FamilyTerms;
  private readonly precision: Precision;
  /** Log density of the life model at the last y, with its derivatives in z. */ readonly life = newTerms();
  private readonly tail = new Float64Array(3);
  private point: GrowthPoint = { sigma: 1, exponent: 1, readingSd: 1, shift: new Float64Array(0) };
  /** mu, pointer of the measured readings, its precision, the constant, bounds. */
  private readonly loaded = new Float64Array(6);
  private from = 0;
  private to = 0;
  private censored = 0;
  /** Of each censored reading: its sign, and zeta = offset + rate y. */ private readonly sign: Float64Array;
  private readonly offset: Float64Array;
  private readonly rate: Float64Array;

  constructor(readings: PreparedReadings, family: Family, precision = FINE) {
    this.readings = readings;
    this.terms = familyTerms(family);
    this.precision = precision;
    this.sign = new Float64Array(readings.most);
    this.offset = new Float64Array(readings.most);
    this.rate = new Float64Array(readings.most);
  }

  /** Sets the parameters that hold for the next seals. */
  turnTo(point: GrowthPoint): void {
    this.point = point;
  }

  /** Loads row `i`; bounds of y are -Infinity and Infinity where there are none. */
  load(i: number, mu: number, lowLog: number, highLog: number): void {
    const { start, logAge, level, kind, inspector, ageVariance } = this.readings;
    const { sigma, exponent, readingSd, shift } = this.point;
    this.from = start[i];
    this.to = start[i + 1];
    let measured = 0;
    let censored = 0;
    let weights = 0;
    let sum = 0;
    let squares = 0;
    let logs = 0;
    for (let r = this.from; r < this.to; r++) {
      const variance = readingSd * readingSd + exponent * exponent * ageVariance[r];
      // Pointers are taken about mu, so that their squares keep their digits.
      const pointer = logAge[r] - (level[r] - shiftOf(shift, inspector[r])) / exponent - mu;
      if (kind[r] === MEASURED) {
        measured++;
        weights += 1 / variance;
        sum += pointer / variance;
        squares += (pointer * pointer) / variance;
        logs += Math.log(variance);
      } else {
        const rate = (kind[r] === AT_LEAST ? -exponent : exponent) / Math.sqrt(variance);
        this.sign[censored] = kind[r] === AT_LEAST ? -1 : 1;
        this.rate[censored] = rate;
        this.offset[censored++] = -rate * (pointer + mu);
      }
    }
    const pointer = measured > 0 ? sum / weights : 0;
    const rest = measured > 0 ? Math.max(0, squares - sum * pointer) : 0;
    const squared = exponent * exponent;
    const { loaded } = this;
    loaded[0] = mu;
    loaded[1] = mu + pointer;
    loaded[2] = squared * weights;
    loaded[3] = -Math.log(sigma) - 0.5 * squared * rest - 0.5 * logs - measured * HALF_LOG_2PI;
    loaded[4] = lowLog;
    loaded[5] = highLog;
    this.censored = censored;
  }

  evaluate(y: number): void {
    const { loaded, life, at, tail } = this;
    const { sigma } = this.point;
    this.terms.exact((y - loaded[0]) / sigma, life);
    const off = y - loaded[1];
    let value = life[0] + loaded[3] - 0.5 * loaded[2] * off * off;
    let slope = life[1] / sigma - loaded[2] * off;
    let curvature = life[2] / (sigma * sigma) - loaded[2];
    for (let k = 0; k < this.censored; k++) {
      const rate = this.rate[k];
      logNormalCdfInto(tail, this.offset[k] + rate * y);
      value += tail[0];
      slope += rate * tail[1];
      curvature += rate * rate * tail[2];
    }
    at[0] = value;
    at[1] = slope;
    at[2] = curvature;
  }

  /** The value alone, with censored readings from a table. */
  valueAt(y: number): number {
    const { loaded, life } = this;
    this.terms.exact((y - loaded[0]) / this.point.sigma, life);
    const off = y - loaded[1];
    let value = life[0] + loaded[3] - 0.5 * loaded[2] * off * off;
    for (let k = 0; k < this.censored; k++) value += logNormalCdf(this.offset[k] + this.rate[k] * y);
    return value;
  }

  /** Where the search for the mode starts when nothing better is known. */
  guess(): number {
    return this.loaded[2] > 0 ? this.loaded[1] : this.loaded[0];
  }

  /** Fills `range`, beginning the search for the mode at `start`. */
  findRange(start: number): void {
    const { at, range, loaded } = this;
    const mode = this.findMode(start);
    const [value, slope, curvature] = [at[0], at[1], at[2]];
    const { drop } = this.precision;
    const steepness = Math.sqrt(slope * slope - 2 * drop * curvature);
    const left = (2 * drop) / (slope + steepness);
    const right = (2 * drop) / (steepness - slope);
    range[0] = mode;
    range[1] = mode <= loaded[4] ? loaded[4] : this.reach(mode, value, -left, loaded[4]);
    range[2] = mode >= loaded[5] ? loaded[5] : this.reach(mode, value, right, loaded[5]);
    range[3] = Math.min(1 / Math.sqrt(-curvature + 0.25 * slope * slope), LIFE_WIDTH * this.point.sigma);
  }

  /**
   * Finds the range and places quadrature points in it. A censored reading has an edge that may be far sharper than the rest,
   * so the part of the range up to the end of the last edge is divided more finely.
   */
  placeNodes(start: number): void {
    this.findRange(start);
    const { range } = this;
    this.nodes = 0;
    const edgeWidth = Math.min(range[3], this.point.readingSd / this.point.exponent);
    const fineTo = this.censored > 0 ? Math.min(range[2], this.lastEdge() + EDGE_END * edgeWidth) : range[1];
    if (fineTo > range[1]) this.addPanels(range[1], fineTo, edgeWidth);
    if (fineTo < range[2]) this.addPanels(Math.max(fineTo, range[1]), range[2], range[3]);
  }

  /** Largest y at which a censored reading is on its limit; Infinity where one is bounded from below. */
  lastEdge(): number {
    let last = -Infinity;
    for (let k = 0; k < this.censored; k++) {
      if (this.sign[k] < 0) return Infinity;
      last = Math.max(last, -this.offset[k] / this.rate[k]);
    }
    return last;
  }

  private addPanels(low: number, high: number, width: number): void {
    const { nodeAt, nodeWeight } = this;
    const { reach: reaches } = this.precision;
    const reach = (high - low) / (2 * width);
    let k = 0;
    while (k < reaches.length - 1 && reach > reaches[k]) k++;
    const panels = Math.min(Math.max(1, Math.ceil(reach / reaches[k])), MOST_PANELS / 2);
    const half = (high - low) / (2 * panels);
    const { nodes, weights } = RULES[k];
    for (let panel = 0; panel < panels; panel++) {
      const middle = low + (2 * panel + 1) * half;
      for (let q = 0; q < nodes.length; q++) {
        nodeAt[this.nodes] = middle + half * nodes[q];
        nodeWeight[this.nodes++] = half * weights[q];
      }
    }
  }

  /** Newton's method inside a bracket; ends with `at` evaluated at the mode, or at the bound where it rises to one. */
  private findMode(start: number): number {
    const { at, loaded } = this;
    const longest = 4 * this.point.sigma;
    let [low, high] = [loaded[4], loaded[5]];
    let [lowIsBound, highIsBound] = [low > -Infinity, high < Infinity];
    let y = Math.min(Math.max(start, low), high);
    for (let step = 0; ; step++) {
      this.evaluate(y);
      const [slope, curvature] = [at[1], at[2]];
      if (step > 60 || slope * slope < MODE_TOLERANCE * MODE_TOLERANCE * -curvature) return y;
      if ((slope > 0 && y >= loaded[5]) || (slope < 0 && y <= loaded[4])) return y;
      if (slope > 0) {
        if (y > low || y === loaded[4]) lowIsBound = false;
        low = y;
      } else {
        if (y < high || y === loaded[5]) highIsBound = false;
        high = y;
      }
      const newton = curvature < 0 ? -slope / curvature : Math.sign(slope) * longest;
      let next = y + Math.min(Math.max(newton, -longest), longest);
      if (next >= high) next = highIsBound ? high : 0.5 * (y + high);
      else if (next <= low) next = lowIsBound ? low : 0.5 * (y + low);
      y = next;
    }
  }

  /** End of the range on one side: where the logarithm has fallen by `drop` or a little more, or the bound. */
  private reach(mode: number, value: number, first: number, bound: number): number {
    const { at } = this;
    const { drop: wanted } = this.precision;
    let d = first;
    for (let step = 0; step < 30; step++) {
      const y = mode + d;
      if (d > 0 ? y >= bound : y <= bound) return bound;
      this.evaluate(y);
      const drop = value - at[0];
      if (drop < wanted) d *= Math.min(2, Math.max(1.15, 1.05 * Math.sqrt(wanted / Math.max(drop, 1e-9))));
      else if (drop > 1.6 * wanted && step < 6) d *= Math.max(0.3, Math.sqrt((1.25 * wanted) / drop));
      else return y;
    }
    return mode + d;
  }
}

export const shiftOf = (shift: Float64Array, inspector: number): number =>
  inspector >= 0 && inspector < shift.length ? shift[inspector] : 0;
