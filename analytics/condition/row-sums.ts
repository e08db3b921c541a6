import { sharedFloats } from '../numeric/shared-floats.ts';
import type { Design } from '../survival/standardise.ts';
import type { ConditionData } from './condition.ts';
import { FIRST_SHIFT, LOG_EXPONENT, LOG_SIGMA, MU, type SealScore } from './seal-score.ts';

/** Where each parameter stands in theta: standardised coefficients, log sigma unless fixed, log m, log tau, then b. */
export interface ThetaPlaces {
  readonly width: number;
  /** -1 where sigma is 1. */ readonly logSigma: number;
  readonly logExponent: number;
  readonly logReadingSd: number;
  readonly firstShift: number;
  readonly inspectors: number;
  readonly size: number;
}

/** Standardised columns of each row, and the part of its predictor without parameters. */
export class DesignRows {
  readonly columns: Float64Array;
  readonly offset: Float64Array;
  readonly width: number;

  constructor(columns: Float64Array, offset: Float64Array, width: number) {
    this.columns = columns;
    this.offset = offset;
    this.width = width;
  }

  predictor(i: number, theta: Float64Array): number {
    const { columns, width } = this;
    let mu = this.offset[i];
    for (let j = 0; j < width; j++) mu += columns[i * width + j] * theta[j];
    return mu;
  }
}

export function rowsOf(data: ConditionData, design: Design): DesignRows {
  const { kept, back, shift, names } = design;
  const count = data.lower.length;
  const width = kept.length;
  const own = data.names.length;
  const first = names.length - own;
  const columns = sharedFloats(count * width);
  const offset = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < names.length; j++) {
      const x = j < first ? 1 : data.covariates[i * own + j - first];
      if (x === 0) continue;
      offset[i] += x * shift[j];
      for (let k = 0; k < width; k++) columns[i * width + k] += x * back[j * width + k];
    }
  }
  return new DesignRows(columns, offset, width);
}

/** Adds each row's small derivatives to the whole gradient and the lower triangle of the Hessian. */
export class RowSums {
  private readonly places: ThetaPlaces;
  private readonly rows: DesignRows;
  private readonly gradient: Float64Array;
  private readonly hessian: Float64Array;

  constructor(places: ThetaPlaces, rows: DesignRows, gradient: Float64Array, hessian: Float64Array) {
    this.places = places;
    this.rows = rows;
    this.gradient = gradient;
    this.hessian = hessian;
  }

  addThreshold(i: number, weight: number, out: Float64Array): void {
    const { gradient, hessian } = this;
    const { logSigma, size } = this.places;
    this.addPredictor(i, weight * out[1], weight * out[3]);
    if (logSigma < 0) return;
    gradient[logSigma] += weight * out[2];
    hessian[logSigma * size + logSigma] += weight * out[5];
    this.addRow(i, logSigma, weight * out[4]);
  }

  addSeal(i: number, weight: number, seals: SealScore): void {
    const { first, second, stride, slotStart, slotInspector } = seals;
    const { gradient, hessian } = this;
    const { size, inspectors } = this.places;
    const from = slotStart[i];
    const length = FIRST_SHIFT + (inspectors > 0 ? slotStart[i + 1] - from : 0);
    this.addPredictor(i, weight * first[MU], weight * second[0]);
    for (let a = LOG_SIGMA; a < length; a++) {
      const at = this.placeOf(a, from, slotInspector);
      if (at < 0) continue;
      gradient[at] += weight * first[a];
      this.addRow(i, at, weight * second[a * stride]);
      for (let b = LOG_SIGMA; b <= a; b++) {
        const other = this.placeOf(b, from, slotInspector);
        if (other < 0) continue;
        const value = weight * second[a * stride + b];
        hessian[at >= other ? at * size + other : other * size + at] += value;
      }
    }
  }

  private placeOf(a: number, from: number, slotInspector: Int32Array): number {
    const { logSigma, logExponent, firstShift } = this.places;
    if (a === LOG_SIGMA) return logSigma;
    if (a < FIRST_SHIFT) return logExponent + a - LOG_EXPONENT;
    return firstShift + slotInspector[from + a - FIRST_SHIFT];
  }

  private addPredictor(i: number, slope: number, curvature: number): void {
    const { gradient, hessian } = this;
    const { width, size } = this.places;
    const { columns } = this.rows;
    for (let j = 0; j < width; j++) {
      const x = columns[i * width + j];
      if (x === 0) continue;
      gradient[j] += slope * x;
      const scaled = curvature * x;
      for (let k = 0; k <= j; k++) hessian[j * size + k] += scaled * columns[i * width + k];
    }
  }

  private addRow(i: number, at: number, value: number): void {
    const { hessian } = this;
    const { width, size } = this.places;
    const { columns } = this.rows;
    for (let j = 0; j < width; j++) hessian[at * size + j] += value * columns[i * width + j];
  }
}
