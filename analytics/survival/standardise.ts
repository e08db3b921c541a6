import { choleskyInPlace, choleskySolveInPlace, independentColumns } from '../numeric/cholesky.ts';
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
  const raw = fullColumns(rows);
  const n = names.length;
  const patternWeight = weightOfPatterns(rows);
  const onesRaw = solveForOnes(raw, n, patternWeight, rows.intercept);
  const scaling = scaleColumns(raw, n, patternWeight, onesRaw.exact);
  const kept = keptColumns(scaling.columns, n, patternWeight, prior);
  const width = kept.length;

  const logAge0 = onesRaw.exact ? typicalLogAge(rows) : 0;
  const back = new Float64Array(n * width);
  kept.forEach((column, k) => {
    back[column * width + k] += 1 / scaling.sd[column];
    for (let j = 0; j < n; j++)
      back[j * width + k] -= (scaling.mean[column] / scaling.sd[column]) * onesRaw.solution[j];
  });
  return {
    names,
    kept,
    columns: pickColumns(scaling.columns, n, kept),
    patternStart: rows.patternStart,
    weight: rows.weight,
    ...logAges(rows, logAge0),
    logAge0,
    back,
    shift: onesRaw.solution.map((share) => share * logAge0),
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

function fullColumns({ covariates, names, intercept, patternStart }: CompressedRows): Float64Array {
  if (!intercept) return covariates;
  const p = names.length;
  const patterns = patternStart.length - 1;
  const full = new Float64Array(patterns * (p + 1));
  for (let i = 0; i < patterns; i++) {
    full[i * (p + 1)] = 1;
    for (let j = 0; j < p; j++) full[i * (p + 1) + 1 + j] = covariates[i * p + j];
  }
  return full;
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
  for (let i = 0; i < weight.length; i++) {
    for (let j = 0; j < n; j++) {
      const scaled = weight[i] * columns[i * n + j];
      if (scaled !== 0) for (let k = 0; k <= j; k++) out[j * n + k] += scaled * columns[i * n + k];
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
  raw: Float64Array,
  n: number,
  weight: Float64Array,
  intercept: boolean,
): { solution: Float64Array; exact: boolean } {
  const solution = new Float64Array(n);
  if (intercept) {
    solution[0] = 1;
    return { solution, exact: true };
  }
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
  readonly columns: Float64Array;
  readonly mean: Float64Array;
  readonly sd: Float64Array;
}

function pickColumns(columns: Float64Array, n: number, kept: Int32Array): Float64Array {
  const width = kept.length;
  if (width === n) return columns;
  const rows = columns.length / n;
  const out = new Float64Array(rows * width);
  for (let i = 0; i < rows; i++) for (let k = 0; k < width; k++) out[i * width + k] = columns[i * n + kept[k]];
  return out;
}

function scaleColumns(raw: Float64Array, n: number, weight: Float64Array, mayCentre: boolean): Scaling {
  const columns = raw.slice();
  const mean = new Float64Array(n);
  const sd = new Float64Array(n).fill(1);
  const total = weight.reduce((sum, w) => sum + w, 0);
  for (let j = 0; j < n; j++) {
    const moments = columnMoments(raw, n, j, weight, total);
    if (moments.binary || moments.constant) continue;
    mean[j] = mayCentre ? moments.mean : 0;
    sd[j] = mayCentre ? moments.sd : Math.hypot(moments.sd, moments.mean);
    const [from, per] = [mean[j], 1 / sd[j]];
    for (let i = 0; i < weight.length; i++) columns[i * n + j] = (raw[i * n + j] - from) * per;
  }
  return { columns, mean, sd };
}

function columnMoments(raw: Float64Array, n: number, j: number, weight: Float64Array, total: number) {
  const perTotal = 1 / total;
  let binary = true;
  let mean = 0;
  let largest = 0;
  for (let i = 0; i < weight.length; i++) {
    const value = raw[i * n + j];
    if (value !== 0 && value !== 1) binary = false;
    mean += weight[i] * perTotal * value;
    const size = Math.abs(value);
    if (size > largest) largest = size;
  }
  let variance = 0;
  for (let i = 0; i < weight.length; i++) {
    const off = raw[i * n + j] - mean;
    variance += weight[i] * perTotal * off * off;
  }
  const sd = Math.sqrt(variance);
  return { binary, mean, sd, constant: !(sd > 1e-12 * largest) };
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

/** Weighted mean log of an age that stands for each row: the middle of its interval, or the last age known sound. */
function typicalLogAge({ lower, upper, weight }: CompressedRows): number {
  let sum = 0;
  let total = 0;
  for (let i = 0; i < lower.length; i++) {
    const age = upper[i] < Infinity ? (lower[i] + upper[i]) / 2 : lower[i];
    if (!(age > 0)) continue;
    sum += weight[i] * Math.log(age);
    total += weight[i];
  }
  return total > 0 ? sum / total : 0;
}

function logAges({ entry, lower, upper, weight }: CompressedRows, logAge0: number) {
  const rows = lower.length;
  const kind = new Uint8Array(rows);
  const logRatio = new Float64Array(rows);
  let constant = 0;
  for (let i = 0; i < rows; i++) {
    if (upper[i] === Infinity) kind[i] = RIGHT;
    else if (upper[i] === lower[i]) {
      kind[i] = EXACT;
      constant -= weight[i] * Math.log(upper[i]);
    } else if (lower[i] === 0) kind[i] = LEFT;
    else {
      kind[i] = INTERVAL;
      logRatio[i] = Math.log1p((upper[i] - lower[i]) / lower[i]);
    }
  }
  const logs = (ages: Float64Array): Float64Array => {
    const out = new Float64Array(rows);
    for (let i = 0; i < rows; i++) out[i] = ages[i] === 0 ? -Infinity : Math.log(ages[i]) - logAge0;
    return out;
  };
  return { kind, logRatio, constant, entryLog: logs(entry), lowerLog: logs(lower), upperLog: logs(upper) };
}
