import { groupRows } from '../numeric/group-rows.ts';
import { isOneIn } from '../numeric/one-in-many.ts';
import { pick, pickRows } from '../numeric/pick-rows.ts';
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

/**
 * Merges identical rows into one with the sum of their weights; the likelihood does not change. Very many rows that hardly
 * repeat stay as they are, since merging them would take longer than it saves.
 */
export function compress(data: AftData): CompressedRows {
  const rows = data.lower.length;
  if (hardlyRepeats(data)) return rowByRow(data);
  const pattern = groupRows(data.covariates, rows, data.names.length);
  const distinct = groupRows(rowKeys(data, pattern.groupOf), rows, 4);
  const weightOf = new Float64Array(distinct.firstRow.length);
  for (let i = 0; i < rows; i++) weightOf[distinct.groupOf[i]] += data.weight[i];
  const { order, patternStart } = orderByPattern(distinct.firstRow, pattern.groupOf, pattern.firstRow.length);
  const rowOf = order.map((k) => distinct.firstRow[k]);
  return {
    names: data.names,
    intercept: data.intercept,
    entry: pick(data.entry, rowOf),
    lower: pick(data.lower, rowOf),
    upper: pick(data.upper, rowOf),
    weight: pick(weightOf, order),
    patternStart,
    covariates: pickRows(data.covariates, pattern.firstRow, data.names.length),
  };
}

/** Each row its own pattern, so that the rows of a design are those of the data. */
export function rowByRow(data: AftData): CompressedRows {
  const patternStart = new Int32Array(data.lower.length + 1);
  for (let i = 0; i < patternStart.length; i++) patternStart[i] = i;
  return { ...data, patternStart };
}

const ROWS_FOR_LOOK = 16_384;

/**
 * Whether a part of the rows, picked from all over, has fewer repeats than rows drawn at random from as many distinct ones as
 * there are rows would have.
 */
function hardlyRepeats(data: AftData): boolean {
  const many = data.lower.length / ROWS_FOR_LOOK;
  if (many < 8) return false;
  const columns = data.names.length;
  const wide = columns + 3;
  const picked: number[] = [];
  for (let i = 0; i < data.lower.length; i++) {
    if (!isOneIn(many, i)) continue;
    picked.push(data.entry[i], data.lower[i], data.upper[i]);
    for (let j = 0; j < columns; j++) picked.push(data.covariates[i * columns + j]);
  }
  const rows = picked.length / wide;
  const distinct = groupRows(Float64Array.from(picked), rows, wide).firstRow.length;
  return rows - distinct < (rows * rows) / (2 * data.lower.length);
}

/** Row-major, rows x 4. */
function rowKeys({ entry, lower, upper }: AftData, patternOf: Int32Array): Float64Array {
  const keys = new Float64Array(4 * lower.length);
  for (let i = 0; i < lower.length; i++) {
    keys[4 * i] = patternOf[i];
    keys[4 * i + 1] = entry[i];
    keys[4 * i + 2] = lower[i];
    keys[4 * i + 3] = upper[i];
  }
  return keys;
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
  for (let k = 0; k < firstRow.length; k++) order[next[patternOf[firstRow[k]]]++] = k;
  return { order, patternStart };
}
