import { choleskyInPlace, choleskySolveInPlace, inverseOfFactor } from '../numeric/cholesky.ts';

/**
 * The information matrix of many level effects and few other parameters. The levels of the largest grouping touch
 * each other nowhere, so they are a diagonal and are eliminated first; what is left is small and dense
 * (levels of the other groupings, then the coefficients).
 */
export interface LevelSystem {
  /** Number of eliminated levels, and of dense parameters. */ readonly levels: number;
  readonly dense: number;
  /** Diagonal of the levels. */ readonly diagonal: Float64Array;
  /** Row-major, levels x dense. */ readonly coupling: Float64Array;
  /** Row-major, dense x dense; the lower triangle counts. */ readonly block: Float64Array;
}

export const newLevelSystem = (levels: number, dense: number): LevelSystem => ({
  levels,
  dense,
  diagonal: new Float64Array(levels),
  coupling: new Float64Array(levels * dense),
  block: new Float64Array(dense * dense),
});

export interface Factor {
  /** Diagonal with its damping. */ readonly diagonal: Float64Array;
  /** Cholesky factor of the Schur complement of the levels. */ readonly schur: Float64Array;
}

export const newFactor = ({ levels, dense }: LevelSystem): Factor => ({
  diagonal: new Float64Array(levels),
  schur: new Float64Array(dense * dense),
});

/** The entries of one row of the coupling that are not 0: a facility meets few of all lots. */
class CoupledEntries {
  count = 0;
  readonly place: Int32Array;
  readonly value: Float64Array;

  constructor(dense: number) {
    this.place = new Int32Array(dense);
    this.value = new Float64Array(dense);
  }

  turnTo(coupling: Float64Array, level: number): void {
    const dense = this.place.length;
    let count = 0;
    for (let j = 0; j < dense; j++) {
      const value = coupling[level * dense + j];
      if (value === 0) continue;
      this.place[count] = j;
      this.value[count++] = value;
    }
    this.count = count;
  }
}

/** Factors the system with `damping` times its diagonal added; false where it is not positive definite. */
export function factorise(system: LevelSystem, damping: number, { diagonal, schur }: Factor): boolean {
  const { levels, dense, coupling, block } = system;
  schur.set(block);
  for (let j = 0; j < dense; j++) schur[j * dense + j] += damping * (Math.abs(block[j * dense + j]) + 1e-12);
  const entries = new CoupledEntries(dense);
  const { place, value: coupled } = entries;
  for (let l = 0; l < levels; l++) {
    const value = system.diagonal[l];
    diagonal[l] = value + damping * (Math.abs(value) + 1e-12);
    if (!(diagonal[l] > 0 && diagonal[l] < Infinity)) return false;
    entries.turnTo(coupling, l);
    for (let a = 0; a < entries.count; a++) {
      const scaled = coupled[a] / diagonal[l];
      const row = place[a] * dense;
      for (let b = 0; b <= a; b++) schur[row + place[b]] -= scaled * coupled[b];
    }
  }
  return choleskyInPlace(schur, dense);
}

/** Overwrites `x` (levels, then dense) with the solution of the factored system. */
export function solveInPlace({ levels, dense, coupling }: LevelSystem, factor: Factor, x: Float64Array): void {
  const rest = x.subarray(levels);
  for (let l = 0; l < levels; l++) {
    const scaled = x[l] / factor.diagonal[l];
    if (scaled !== 0) for (let j = 0; j < dense; j++) rest[j] -= scaled * coupling[l * dense + j];
  }
  choleskySolveInPlace(factor.schur, dense, rest);
  for (let l = 0; l < levels; l++) {
    let sum = x[l];
    for (let j = 0; j < dense; j++) sum -= coupling[l * dense + j] * rest[j];
    x[l] = sum / factor.diagonal[l];
  }
}

/** Log determinants of the whole system, and of the last `tail` dense parameters given all others. */
export function logDeterminants({ levels, dense }: LevelSystem, factor: Factor, tail: number) {
  let whole = 0;
  let ofTail = 0;
  for (let l = 0; l < levels; l++) whole += Math.log(factor.diagonal[l]);
  for (let j = 0; j < dense; j++) {
    const part = 2 * Math.log(factor.schur[j * dense + j]);
    whole += part;
    if (j >= dense - tail) ofTail += part;
  }
  return { whole, ofTail };
}

/** Diagonal of the inverse: levels, then dense parameters. */
export function inverseDiagonal({ levels, dense, coupling }: LevelSystem, factor: Factor): Float64Array {
  const out = new Float64Array(levels + dense);
  const inverse = inverseOfFactor(factor.schur, dense);
  for (let j = 0; j < dense; j++) out[levels + j] = inverse[j * dense + j];
  const entries = new CoupledEntries(dense);
  const { place, value } = entries;
  for (let l = 0; l < levels; l++) {
    let sum = 0;
    entries.turnTo(coupling, l);
    for (let a = 0; a < entries.count; a++) {
      const row = place[a] * dense;
      let along = 0.5 * value[a] * inverse[row + place[a]];
      for (let b = 0; b < a; b++) along += value[b] * inverse[row + place[b]];
      sum += 2 * value[a] * along;
    }
    out[l] = 1 / factor.diagonal[l] + sum / factor.diagonal[l] ** 2;
  }
  return out;
}

/** The part of the inverse that belongs to the last `tail` dense parameters, row-major. */
export function inverseOfTail({ dense }: LevelSystem, factor: Factor, tail: number): Float64Array {
  const out = new Float64Array(tail * tail);
  const column = new Float64Array(dense);
  for (let j = 0; j < tail; j++) {
    column.fill(0);
    column[dense - tail + j] = 1;
    choleskySolveInPlace(factor.schur, dense, column);
    out.set(column.subarray(dense - tail), j * tail);
  }
  return out;
}
