import { exponential } from '../numeric/exponential.ts';
import type { Family } from '../survival/aft.ts';
import { logNormalCdfInto } from './normal-tail.ts';
import { AT_LEAST, MEASURED, type PreparedReadings } from './prepared-readings.ts';
import { FINE, type GrowthPoint, SealIntegrand, shiftOf } from './seal-integrand.ts';

/** Places of the parameters in a seal's own small vector; its inspectors follow. */
export const MU = 0;
export const LOG_SIGMA = 1;
export const LOG_EXPONENT = 2;
export const LOG_READING_SD = 3;
export const FIRST_SHIFT = 4;

/** Nodes with a smaller share of the mass are left out of the derivatives. */
const LEAST_WEIGHT = 1e-10;

/**
 * Marginal log-likelihood of one seal with readings, with its gradient and Hessian, by Gauss-Legendre quadrature over the
 * part of (log L, log R] that carries the mass.
 *
 * The gradient is the mean over y of the score of complete data (Fisher's identity); the Hessian is the mean of the
 * complete-data Hessian plus the variance of that score (Louis, 1982, J. R. Statist. Soc. B 44).
 * A seal touches only mu, log sigma, log m, log tau and its own inspectors, so both live in a small vector.
 */
export class SealScore {
  /** First derivatives. */ readonly first: Float64Array;
  /** Second derivatives, row-major with stride `stride`; the lower triangle counts. */ readonly second: Float64Array;
  readonly stride: number;
  private readonly integrand: SealIntegrand;
  private readonly readings: PreparedReadings;
  private readonly tail = new Float64Array(3);
  /** Weighted integrand at the nodes, and its sum. */ private readonly values: Float64Array;
  /** Derivatives of the life model's log density at the nodes. */ private readonly slopes: Float64Array;
  private readonly curvatures: Float64Array;
  private total = 1;
  private readonly perSd: Float64Array;
  /** Of each reading's variance, the part of tau², p; (m a)² is the rest, q. log SD has these slopes in log tau and log m. */
  private readonly noisePart: Float64Array;
  private readonly offset: Float64Array;
  private readonly score: Float64Array;
  /** Mode of each row at the last visit: where the next search starts. */ private readonly modes: Float64Array;
  /** Of each reading: which of its row's inspectors; -1 for nobody. */ private readonly slot: Int32Array;
  /** Inspectors of each row, in compressed sparse rows. */ readonly slotStart: Int32Array;
  readonly slotInspector: Int32Array;
  private point: GrowthPoint = { sigma: 1, exponent: 1, readingSd: 1, shift: new Float64Array(0) };

  /** `modes`: one for each row, NaN at first; kept by the caller. */
  constructor(readings: PreparedReadings, family: Family, modes: Float64Array, precision = FINE) {
    this.readings = readings;
    this.integrand = new SealIntegrand(readings, family, precision);
    this.values = new Float64Array(this.integrand.nodeAt.length);
    this.slopes = new Float64Array(this.values.length);
    this.curvatures = new Float64Array(this.values.length);
    this.perSd = new Float64Array(readings.most);
    this.noisePart = new Float64Array(readings.most);
    this.offset = new Float64Array(readings.most);
    this.stride = FIRST_SHIFT + readings.most;
    this.first = new Float64Array(this.stride);
    this.second = new Float64Array(this.stride * this.stride);
    this.score = new Float64Array(this.stride);
    this.modes = modes;
    ({ slot: this.slot, slotStart: this.slotStart, slotInspector: this.slotInspector } = slotsOf(readings));
  }

  turnTo(point: GrowthPoint): void {
    this.point = point;
    this.integrand.turnTo(point);
  }

  /** Log-likelihood of row `i` given its bounds; equal bounds mean that y is known. */
  value(i: number, mu: number, lowLog: number, highLog: number): number {
    const { integrand, values, slopes, curvatures, modes } = this;
    const { life } = integrand;
    integrand.load(i, mu, lowLog, highLog);
    if (lowLog === highLog) {
      integrand.evaluate(highLog);
      slopes[0] = life[1];
      curvatures[0] = life[2];
      return integrand.at[0] - highLog;
    }
    integrand.placeNodes(Number.isNaN(modes[i]) ? integrand.guess() : modes[i]);
    modes[i] = integrand.range[0];
    const { nodes, nodeAt, nodeWeight } = integrand;
    let largest = -Infinity;
    for (let q = 0; q < nodes; q++) {
      values[q] = integrand.valueAt(nodeAt[q]);
      slopes[q] = life[1];
      curvatures[q] = life[2];
      if (values[q] > largest) largest = values[q];
    }
    let sum = 0;
    for (let q = 0; q < nodes; q++) {
      values[q] = nodeWeight[q] * exponential(values[q] - largest);
      sum += values[q];
    }
    this.total = sum;
    return largest + Math.log(sum);
  }

  /** As `value`, and fills `first` and `second`. */
  derivatives(i: number, mu: number, lowLog: number, highLog: number): number {
    const { first, second, stride } = this;
    const size = FIRST_SHIFT + this.slotStart[i + 1] - this.slotStart[i];
    for (let a = 0; a < size; a++) {
      first[a] = 0;
      for (let b = 0; b <= a; b++) second[a * stride + b] = 0;
    }
    const value = this.value(i, mu, lowLog, highLog);
    this.loadReadings(i);
    if (lowLog === highLog) {
      this.addNode(i, mu, highLog, 0, 1, size);
    } else {
      const { nodes, nodeAt } = this.integrand;
      for (let q = 0; q < nodes; q++) {
        const weight = this.values[q] / this.total;
        if (weight > LEAST_WEIGHT) this.addNode(i, mu, nodeAt[q], q, weight, size);
      }
    }
    for (let a = 0; a < size; a++) for (let b = 0; b <= a; b++) second[a * stride + b] -= first[a] * first[b];
    return value;
  }

  /** As `value`, and fills `first` and `second` in their places of mu alone: for a fraction of the time. */
  derivativesInMu(i: number, mu: number, lowLog: number, highLog: number): number {
    const { first, second, values, slopes, curvatures } = this;
    const { sigma } = this.point;
    const value = this.value(i, mu, lowLog, highLog);
    const known = lowLog === highLog;
    let [mean, square] = [0, 0];
    for (let q = 0; q < (known ? 1 : this.integrand.nodes); q++) {
      const weight = known ? 1 : values[q] / this.total;
      const score = -slopes[q] / sigma;
      mean += weight * score;
      square += weight * (curvatures[q] / (sigma * sigma) + score * score);
    }
    first[MU] = mean;
    second[MU] = square - mean * mean;
    return value;
  }

  /** What of each reading does not depend on y: zeta = offset + m (y - log age) / SD. */
  private loadReadings(i: number): void {
    const { perSd, noisePart, offset } = this;
    const { exponent, readingSd, shift } = this.point;
    const { start, level, inspector, ageVariance } = this.readings;
    for (let r = start[i], k = 0; r < start[i + 1]; r++, k++) {
      const variance = readingSd * readingSd + exponent * exponent * ageVariance[r];
      perSd[k] = 1 / Math.sqrt(variance);
      noisePart[k] = (readingSd * readingSd) / variance;
      offset[k] = (level[r] - shiftOf(shift, inspector[r])) * perSd[k];
    }
  }

  /** Adds weight x (score, complete-data Hessian plus score score') at one y, that of node `q`. */
  private addNode(i: number, mu: number, y: number, q: number, weight: number, size: number): void {
    const { first, second, stride, score, tail, slot, readings } = this;
    const { sigma, exponent } = this.point;
    const { start, logAge, kind } = readings;
    const z = (y - mu) / sigma;
    const f1 = this.slopes[q];
    const f2 = this.curvatures[q];
    score[MU] = -f1 / sigma;
    score[LOG_SIGMA] = -z * f1 - 1;
    second[0] += (weight * f2) / (sigma * sigma);
    second[stride] += (weight * (f1 + z * f2)) / sigma;
    second[stride + 1] += weight * (z * f1 + z * z * f2);
    for (let a = LOG_EXPONENT; a < size; a++) score[a] = 0;
    for (let r = start[i], k = 0; r < start[i + 1]; r++, k++) {
      const perSd = this.perSd[k];
      const p = this.noisePart[k];
      const rest = 1 - p;
      // h is the log density of the reading as a function of zeta; dm and dt are the slopes of zeta in log m and log tau.
      const d = exponent * (y - logAge[r]) * perSd;
      const zeta = this.offset[k] + d;
      const dm = d - zeta * rest;
      const dt = -zeta * p;
      let h1 = -zeta;
      let h2 = -1;
      if (kind[r] === MEASURED) {
        score[LOG_EXPONENT] -= rest;
        score[LOG_READING_SD] -= p;
        second[LOG_EXPONENT * stride + LOG_EXPONENT] -= weight * 2 * p * rest;
        second[LOG_READING_SD * stride + LOG_EXPONENT] += weight * 2 * p * rest;
        second[LOG_READING_SD * stride + LOG_READING_SD] -= weight * 2 * p * rest;
      } else {
        const sign = kind[r] === AT_LEAST ? -1 : 1;
        logNormalCdfInto(tail, sign * zeta);
        h1 = sign * tail[1];
        h2 = tail[2];
      }
      score[LOG_EXPONENT] += h1 * dm;
      score[LOG_READING_SD] += h1 * dt;
      second[LOG_EXPONENT * stride + LOG_EXPONENT] +=
        weight * (h2 * dm * dm + h1 * (d * p - dm * rest - 2 * p * rest * zeta));
      second[LOG_READING_SD * stride + LOG_EXPONENT] += weight * (h2 * dm * dt + h1 * p * (3 * rest * zeta - d));
      second[LOG_READING_SD * stride + LOG_READING_SD] += weight * (h2 * dt * dt + h1 * zeta * p * (p - 2 * rest));
      if (slot[r] < 0) continue;
      const own = FIRST_SHIFT + slot[r];
      score[own] -= h1 * perSd;
      second[own * stride + LOG_EXPONENT] += weight * perSd * (h1 * rest - h2 * dm);
      second[own * stride + LOG_READING_SD] += weight * perSd * (h1 * p - h2 * dt);
      second[own * stride + own] += weight * h2 * perSd * perSd;
    }
    for (let a = 0; a < size; a++) {
      const scaled = weight * score[a];
      first[a] += scaled;
      for (let b = 0; b <= a; b++) second[a * stride + b] += scaled * score[b];
    }
  }
}

/** Numbers the inspectors within each row. */
function slotsOf({ start, inspector }: PreparedReadings) {
  const slot = new Int32Array(inspector.length).fill(-1);
  const slotStart = new Int32Array(start.length);
  const slotInspector = new Int32Array(inspector.length);
  let next = 0;
  for (let i = 0; i + 1 < start.length; i++) {
    const from = next;
    for (let r = start[i]; r < start[i + 1]; r++) {
      if (inspector[r] < 0) continue;
      let k = from;
      while (k < next && slotInspector[k] !== inspector[r]) k++;
      if (k === next) slotInspector[next++] = inspector[r];
      slot[r] = k - from;
    }
    slotStart[i + 1] = next;
  }
  return { slot, slotStart, slotInspector: slotInspector.slice(0, next) };
}
