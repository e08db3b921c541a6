import { choleskyInPlace, choleskySolveInPlace, independentColumns } from '../numeric/cholesky.ts';
import { sharedFloats } from '../numeric/shared-floats.ts';
import type { AftPrior } from './aft.ts';
import type { CompressedRows } from './compress.ts';

/** Rows ready for the likelihood: log ages about a typical one, columns centred and scaled, an intercept among them. */
export interface Design {
  /** Names of all coefficients, as reported. */ readonly names: readonly string[];
  /** Which of these are in the design, in order. */ readonly kept: Int32Array;
  /** Row-major, patterns x kept.length. */ readonly columns: Float64Array;
  readonly patternStart: Int32Array;
  /** 0 interval, 1 right-censored, 2 left-censored from age 0, 3 exact. */ readonly kind: Uint8Array;
  readonly weight: Float64Array;
  /** Log ages minus logAge0; entryLog is -Infinity for entry at 0. */ readonly entryLog: Float64Array;
  readonly lowerLog: Float64Array;
  readonly upperLog: Float64Array;
  /** log(upper / lower) of interval rows. */ readonly logRatio: Float64Array;
  /** Minus the sum of weighted log ages of the exact rows: the part of their log density without parameters. */
  readonly constant: number;
  readonly logAge0: number;
  /** Original coefficients = back x standardised ones + shift. Row-major, names.length x kept.length. */
  readonly back: Float64Array;
  readonly shift: Float64Array;
  /** The standardised coefficients that give a predictor of 1 in every row, or as near as can be. */
  readonly ones: Float64Array;
}

export const INTERVAL = 0;
export const RIGHT = 1;
export const LEFT = 2;
export const EXACT = 3;

/**
 * Centres and scales columns that are not 0/1, drops columns that others determine and centres the log ages.
 * A column with a proper prior stays in even without information: the prior gives its coefficient.
 */
export function standardise(rows: CompressedRows, prior: AftPrior | null): Design {
  const names = rows.intercept ? ['(Intercept)', ...rows.names] : [...rows.names];
  const n = names.length;
  const patternWeight = weightOfPatterns(rows);
  const onesRaw = solveForOnes(rows, patternWeight);
  const scaling = scaleColumns(rows, patternWeight, onesRaw.exact);
  const kept = keptColumns(scaling.columns, n, patternWeight, prior);
  const width = kept.length;

  const back = new Float64Array(n * width);
  kept.forEach((column, k) => {
    back[column * width + k] += 1 / scaling.sd[column];
    for (let j = 0; j < n; j++)
      back[j * width + k] -= (scaling.mean[column] / scaling.sd[column]) * onesRaw.solution[j];
  });
  const ages = logAges(rows, onesRaw.exact);
  return {
    names,
    kept,
    columns: pickColumns(scaling.columns, n, kept),
    patternStart: rows.patternStart,
    weight: rows.weight,
    ...ages,
    back,
    shift: onesRaw.solution.map((share) => share * ages.logAge0),
    ones: Float64Array.from(kept, (column) => onesRaw.solution[column] * scaling.sd[column]),
  };
}

/** Maps standardised coefficients to the original scale. */
export function originalCoefficients(design: Design, standardised: Float64Array): Float64Array {
  const width = design.kept.length;
  return design.shift.map((shift, j) => {
    let sum = shift;
    for (let k = 0; k < width; k++) sum += design.back[j * width + k] * standardised[k];
    return sum;
  });
}

function weightOfPatterns({ weight, patternStart }: CompressedRows): Float64Array {
  const sums = new Float64Array(patternStart.length - 1);
  for (let k = 0; k < sums.length; k++)
    for (let i = patternStart[k]; i < patternStart[k + 1]; i++) sums[k] += weight[i];
  return sums;
}

/** X'WX, row-major. */
function gram(columns: Float64Array, n: number, weight: Float64Array): Float64Array {
  const out = new Float64Array(n * n);
  const x = new Float64Array(n);
  for (let i = 0; i < weight.length; i++) {
    for (let j = 0; j < n; j++) x[j] = columns[i * n + j];
    for (let j = 0; j < n; j++) {
      const scaled = weight[i] * x[j];
      if (scaled !== 0) for (let k = 0; k <= j; k++) out[j * n + k] += scaled * x[k];
    }
  }
  for (let j = 0; j < n; j++) for (let k = 0; k < j; k++) out[k * n + j] = out[j * n + k];
  return out;
}

/**
 * Coefficients whose predictor is 1 in every row: the intercept, or the sum of a set of class columns.
 * Where there are none, `exact` is false and nothing may be centred.
 */
function solveForOnes(
  { covariates: raw, names, intercept }: CompressedRows,
  weight: Float64Array,
): { solution: Float64Array; exact: boolean } {
  const n = names.length;
  if (intercept) return { solution: Float64Array.of(1, ...names.map(() => 0)), exact: true };
  const solution = new Float64Array(n);
  const products = gram(raw, n, weight);
  const free = independentColumns(products, n);
  const chosen = [...free.keys()].filter((j) => free[j] === 1);
  const size = chosen.length;
  const factor = Float64Array.from({ length: size * size }, (_, k) => {
    return products[chosen[Math.floor(k / size)] * n + chosen[k % size]];
  });
  const right = new Float64Array(size);
  for (let i = 0; i < weight.length; i++) for (let k = 0; k < size; k++) right[k] += weight[i] * raw[i * n + chosen[k]];
  if (choleskyInPlace(factor, size)) choleskySolveInPlace(factor, size, right);
  // Class columns give exactly 0 or 1; rounding must not leak into every coefficient.
  for (let k = 0; k < size; k++)
    solution[chosen[k]] = Math.abs(right[k] - Math.round(right[k])) < 1e-9 ? Math.round(right[k]) : right[k];
  let worst = 0;
  for (let i = 0; i < weight.length; i++) {
    let predictor = 0;
    for (let j = 0; j < n; j++) predictor += raw[i * n + j] * solution[j];
    worst = Math.max(worst, Math.abs(predictor - 1));
  }
  return { solution, exact: worst < 1e-9 };
}

interface Scaling {
  /** Row-major, patterns x all columns, the intercept's 1 first where there is one. */ readonly columns: Float64Array;
  /** One entry for each of them. */ readonly mean: Float64Array;
  readonly sd: Float64Array;
}

function pickColumns(columns: Float64Array, n: number, kept: Int32Array): Float64Array {
  const width = kept.length;
  if (width === n) return columns;
  const rows = columns.length / n;
  const out = sharedFloats(rows * width);
  for (let i = 0; i < rows; i++) for (let k = 0; k < width; k++) out[i * width + k] = columns[i * n + kept[k]];
  return out;
}

function scaleColumns(
  { covariates, names, intercept }: CompressedRows,
  weight: Float64Array,
  mayCentre: boolean,
): Scaling {
  const p = names.length;
  const first = Number(intercept);
  const n = first + p;
  const moments = columnMoments(covariates, p, weight);
  const mean = new Float64Array(n);
  const sd = new Float64Array(n).fill(1);
  for (let j = 0; j < p; j++) {
    if (moments.binary[j] || moments.constant[j]) continue;
    mean[first + j] = mayCentre ? moments.mean[j] : 0;
    sd[first + j] = mayCentre ? moments.sd[j] : Math.hypot(moments.sd[j], moments.mean[j]);
  }
  const perSd = sd.map((each) => 1 / each);
  const columns = sharedFloats(n * weight.length);
  for (let i = 0; i < weight.length; i++) {
    if (intercept) columns[i * n] = 1;
    for (let j = first; j < n; j++) columns[i * n + j] = (covariates[i * p + j - first] - mean[j]) * perSd[j];
  }
  return { columns, mean, sd };
}

/** One entry for each column. Row by row, since columns one after the other would fetch the whole table for each. */
function columnMoments(raw: Float64Array, n: number, weight: Float64Array) {
  const binary = new Uint8Array(n).fill(1);
  const mean = new Float64Array(n);
  const largest = new Float64Array(n);
  const variance = new Float64Array(n);
  let total = 0;
  for (let i = 0; i < weight.length; i++) {
    total += weight[i];
    for (let j = 0; j < n; j++) {
      const value = raw[i * n + j];
      mean[j] += weight[i] * value;
      if (value === 0 || value === 1) continue;
      binary[j] = 0;
      const size = Math.abs(value);
      if (size > largest[j]) largest[j] = size;
    }
  }
  for (let j = 0; j < n; j++) mean[j] /= total;
  for (let i = 0; i < weight.length; i++) {
    for (let j = 0; j < n; j++) {
      const off = raw[i * n + j] - mean[j];
      variance[j] += weight[i] * off * off;
    }
  }
  const sd = variance.map((sum) => Math.sqrt(sum / total));
  return { binary, mean, sd, constant: sd.map((each, j) => Number(!(each > 1e-12 * largest[j]))) };
}

function keptColumns(columns: Float64Array, n: number, weight: Float64Array, prior: AftPrior | null): Int32Array {
  const hasPrior = (j: number): boolean => prior !== null && Number.isFinite(prior.sds[j]);
  const free = independentColumns(gram(columns, n, weight), n);
  const flat = [...Array(n).keys()].filter((j) => !hasPrior(j));
  if (flat.length === n) return Int32Array.from(flat.filter((j) => free[j] === 1));
  const flatColumns = new Float64Array(weight.length * flat.length);
  for (let i = 0; i < weight.length; i++)
    flat.forEach((j, k) => {
      flatColumns[i * flat.length + k] = columns[i * n + j];
    });
  const freeFlat = independentColumns(gram(flatColumns, flat.length, weight), flat.length);
  const dropped = new Set(flat.filter((_, k) => freeFlat[k] === 0));
  return Int32Array.from([...Array(n).keys()].filter((j) => !dropped.has(j)));
}

function logAges({ entry, lower, upper, weight }: CompressedRows, mayCentre: boolean) {
  const rows = lower.length;
  const kind = new Uint8Array(rows);
  const logRatio = sharedFloats(rows);
  const entryLog = sharedFloats(rows);
  const lowerLog = sharedFloats(rows);
  const upperLog = sharedFloats(rows);
  let constant = 0;
  for (let i = 0; i < rows; i++) {
    entryLog[i] = entry[i] > 0 ? Math.log(entry[i]) : -Infinity;
    lowerLog[i] = lower[i] > 0 ? Math.log(lower[i]) : -Infinity;
    upperLog[i] = upper[i] < Infinity ? Math.log(upper[i]) : Infinity;
    if (upper[i] === Infinity) kind[i] = RIGHT;
    else if (upper[i] === lower[i]) {
      kind[i] = EXACT;
      constant -= weight[i] * upperLog[i];
    } else if (lower[i] === 0) kind[i] = LEFT;
    else {
      kind[i] = INTERVAL;
      // The difference of two logarithms loses digits only where it is small.
      logRatio[i] =
        upper[i] > 1.5 * lower[i] ? upperLog[i] - lowerLog[i] : Math.log1p((upper[i] - lower[i]) / lower[i]);
    }
  }
  const logAge0 = mayCentre ? typicalLogAge(lowerLog, upperLog, weight) : 0;
  for (let i = 0; i < rows; i++) {
    entryLog[i] -= logAge0;
    lowerLog[i] -= logAge0;
    upperLog[i] -= logAge0;
  }
  return { kind, logRatio, constant, entryLog, lowerLog, upperLog, logAge0 };
}

/** Weighted mean log of an age that stands for each row: the middle of its interval, or the one bound that it has. */
function typicalLogAge(lowerLog: Float64Array, upperLog: Float64Array, weight: Float64Array): number {
  let sum = 0;
  let total = 0;
  for (let i = 0; i < weight.length; i++) {
    const [low, high] = [lowerLog[i], upperLog[i]];
    if (low === -Infinity && high === Infinity) continue;
    sum += weight[i] * (high === Infinity ? low : low === -Infinity ? high - Math.LN2 : (low + high) / 2);
    total += weight[i];
  }
  return total > 0 ? sum / total : 0;
}
