const LEAST_SHARED = 100_000;

/** Zeros; very many of them in memory that threads can share without a copy. */
export const sharedFloats = (length: number): Float64Array =>
  length < LEAST_SHARED ? new Float64Array(length) : new Float64Array(new SharedArrayBuffer(8 * length));
