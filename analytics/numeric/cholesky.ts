/** Symmetric matrices are n x n, row-major; only the lower triangle is read. */

/**
 * Overwrites the lower triangle with L, where L L' is the matrix. What is 0 before the first entry of a row stays 0 and
 * costs nothing, so a band matrix takes time in proportion to the square of its band.
 * @returns false, with the matrix half overwritten, where it is not positive definite
 */
export function choleskyInPlace(matrix: Float64Array, n: number): boolean {
  const begins = new Int32Array(n);
  for (let i = 0; i < n; i++) {
    const row = i * n;
    let begin = 0;
    while (begin < i && matrix[row + begin] === 0) begin++;
    begins[i] = begin;
    for (let j = begin; j <= i; j++) {
      const other = j * n;
      let sum = matrix[row + j];
      for (let k = Math.max(begin, begins[j]); k < j; k++) sum -= matrix[row + k] * matrix[other + k];
      if (j < i) matrix[row + j] = sum / matrix[other + j];
      else if (sum > 0 && sum < Infinity) matrix[row + j] = Math.sqrt(sum);
      else return false;
    }
  }
  return true;
}

/** Overwrites `x` with the solution of L L' x = b, where `x` holds b on entry. */
export function choleskySolveInPlace(factor: Float64Array, n: number, x: Float64Array): void {
  for (let i = 0; i < n; i++) {
    let sum = x[i];
    for (let k = 0; k < i; k++) sum -= factor[i * n + k] * x[k];
    x[i] = sum / factor[i * n + i];
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = x[i];
    for (let k = i + 1; k < n; k++) sum -= factor[k * n + i] * x[k];
    x[i] = sum / factor[i * n + i];
  }
}

/** Lower triangle of the inverse of L L', a third of the work of solving for one column after another. */
export function inverseOfFactor(factor: Float64Array, n: number): Float64Array {
  const root = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    const row = i * n;
    for (let k = 0; k < i; k++) {
      const by = factor[row + k];
      if (by !== 0) for (let j = 0; j <= k; j++) root[row + j] -= by * root[k * n + j];
    }
    for (let j = 0; j < i; j++) root[row + j] /= factor[row + i];
    root[row + i] = 1 / factor[row + i];
  }
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    const row = i * n;
    for (let a = 0; a <= i; a++) {
      const by = root[row + a];
      if (by !== 0) for (let b = 0; b <= a; b++) out[a * n + b] += by * root[row + b];
    }
  }
  return out;
}

/** The inverse of a positive definite matrix, scaled to unit diagonal first; null where it is not positive definite. */
export function invertPositiveDefinite(matrix: Float64Array, n: number): Float64Array | null {
  const scale = new Float64Array(n);
  for (let j = 0; j < n; j++) scale[j] = 1 / Math.sqrt(matrix[j * n + j]);
  const factor = new Float64Array(n * n);
  for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) factor[i * n + j] = matrix[i * n + j] * scale[i] * scale[j];
  // With a unit diagonal a pivot below this is rounding, not information.
  if (!choleskyInPlace(factor, n)) return null;
  for (let j = 0; j < n; j++) if (!(factor[j * n + j] > 1e-7)) return null;
  const inverse = new Float64Array(n * n);
  const column = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    column.fill(0);
    column[j] = 1;
    choleskySolveInPlace(factor, n, column);
    for (let i = 0; i < n; i++) inverse[i * n + j] = column[i] * scale[i] * scale[j];
  }
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < i; j++) inverse[j * n + i] = inverse[i * n + j] = (inverse[i * n + j] + inverse[j * n + i]) / 2;
  }
  return inverse.every(Number.isFinite) ? inverse : null;
}

/**
 * Which columns of a design are no combination of the earlier ones, from its Gram matrix X'WX (n x n).
 * The columns are taken in their own order, so of two that say the same the later is left out, as the reader expects.
 * `tolerance`: least share of a column's squared length that must be new.
 */
export function independentColumns(gram: Float64Array, n: number, tolerance = 1e-10): Uint8Array {
  const kept = new Uint8Array(n);
  const factor = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    let rest = gram[j * n + j];
    for (let k = 0; k < j; k++) {
      if (!kept[k]) continue;
      let sum = gram[j * n + k];
      for (let m = 0; m < k; m++) if (kept[m]) sum -= factor[j * n + m] * factor[k * n + m];
      factor[j * n + k] = sum / factor[k * n + k];
      rest -= factor[j * n + k] ** 2;
    }
    if (!(rest > tolerance * gram[j * n + j])) continue;
    kept[j] = 1;
    factor[j * n + j] = Math.sqrt(rest);
  }
  return kept;
}
