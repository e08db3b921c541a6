import { groupRows } from '../numeric/group-rows.ts';
import type { AftData } from './aft.ts';

/** The distinct rows of a fit, those with the same covariates side by side. */
export interface CompressedRows {
  readonly names: readonly string[];
  readonly intercept: boolean;
  /** One entry for each distinct row. */ readonly entry: Float64Array;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** Sum of the weights of the rows that it stands for. */ readonly weight: Float64Array;
  /** Pattern k has the rows from patternStart[k] up to, not with, patternStart[k + 1]. */
  readonly patternStart: Int32Array;
  /** Row-major, patterns x names.length. */ readonly covariates: Float64Array;
}

/** Merges identical rows into one with the sum of their weights; the likelihood does not change. */
export function compress(data: AftData): CompressedRows {
  const rows = data.lower.length;
  const columns = data.names.length;
  const pattern = groupRows(data.covariates, rows, columns);
  const keys = new Float64Array(rows * 4);
  for (let i = 0; i < rows; i++) {
    keys[4 * i] = pattern.groupOf[i];
    keys[4 * i + 1] = data.entry[i];
    keys[4 * i + 2] = data.lower[i];
    keys[4 * i + 3] = data.upper[i];
  }
  const distinct = groupRows(keys, rows, 4);
  const weightOf = new Float64Array(distinct.firstRow.length);
  for (let i = 0; i < rows; i++) weightOf[distinct.groupOf[i]] += data.weight[i];

  const { order, patternStart } = orderByPattern(distinct.firstRow, pattern.groupOf, pattern.firstRow.length);
  const pick = (from: Float64Array): Float64Array => Float64Array.from(order, (k) => from[distinct.firstRow[k]]);
  const covariates = new Float64Array(pattern.firstRow.length * columns);
  pattern.firstRow.forEach((row, k) => {
    covariates.set(data.covariates.subarray(row * columns, (row + 1) * columns), k * columns);
  });
  return {
    names: data.names,
    intercept: data.intercept,
    entry: pick(data.entry),
    lower: pick(data.lower),
    upper: pick(data.upper),
    weight: Float64Array.from(order, (k) => weightOf[k]),
    patternStart,
    covariates,
  };
}

/** Counting sort of the distinct rows by their pattern. */
function orderByPattern(
  firstRow: Int32Array,
  patternOf: Int32Array,
  patterns: number,
): { order: Int32Array; patternStart: Int32Array } {
  const patternStart = new Int32Array(patterns + 1);
  for (const row of firstRow) patternStart[patternOf[row] + 1]++;
  for (let k = 0; k < patterns; k++) patternStart[k + 1] += patternStart[k];
  const next = patternStart.slice(0, patterns);
  const order = new Int32Array(firstRow.length);
  firstRow.forEach((row, k) => {
    order[next[patternOf[row]]++] = k;
  });
  return { order, patternStart };
}
