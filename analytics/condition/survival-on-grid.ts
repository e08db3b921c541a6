import { cellMass } from './condition-kernel.ts';

/** An even grid of log age. */
export interface LogAgeGrid {
  readonly low: number;
  readonly step: number;
  readonly points: number;
}

/** survival[j] = chance of lasting beyond point j, from the density of log life there. Falls from 1 to 0. */
export function survivalInto(survival: Float64Array, density: Float64Array, { step, points }: LogAgeGrid): void {
  survival[0] = 1;
  for (let j = 0; j + 1 < points; j++)
    survival[j + 1] = Math.max(0, Math.min(survival[j], survival[j] - step * cellMass(density, j, points)));
}

/** Chance of lasting beyond a log age: 1 before the grid, 0 after it, a cubic with the density as slope within. */
export function survivalAtLogAge(
  y: number,
  survival: Float64Array,
  density: Float64Array,
  { low, step, points }: LogAgeGrid,
): number {
  const at = (y - low) / step;
  if (!(at > 0)) return 1;
  if (at >= points - 1) return 0;
  const j = at | 0;
  return insideCell(at - j, survival, density, j, step);
}

/** Of a cell: what is left of it is far below what a grid can tell. */
const HALVINGS = 24;

/** Log age by which a share, above 0 and below 1, has failed. */
export function logAgeAtFailedShare(
  failedShare: number,
  survival: Float64Array,
  density: Float64Array,
  { low, step, points }: LogAgeGrid,
): number {
  const target = 1 - failedShare;
  let j = 0;
  while (j < points - 2 && survival[j + 1] > target) j++;
  let [left, right] = [0, 1];
  for (let k = 0; k < HALVINGS; k++) {
    const middle = 0.5 * (left + right);
    if (insideCell(middle, survival, density, j, step) > target) left = middle;
    else right = middle;
  }
  return low + step * (j + 0.5 * (left + right));
}

/** Cubic Hermite in a cell, kept between its two ends. */
function insideCell(t: number, survival: Float64Array, density: Float64Array, j: number, step: number): number {
  const a = survival[j];
  const b = survival[j + 1];
  const rise = b - a;
  const left = -step * density[j] - rise;
  const right = rise + step * density[j + 1];
  const value = a + t * (rise + (1 - t) * (left * (1 - t) + right * t));
  return Math.max(b, Math.min(a, value));
}

const BEFORE_GRID = -1;
const AFTER_GRID = -2;

/**
 * The same log ages looked up on one grid under many draws: what `survivalAtLogAge` gives, with cells and cubic weights
 * worked out once. Buffers are reused from one grid to the next.
 */
export class GridLookUps {
  private readonly cell: Int32Array;
  /** Four for each age: of survival at both ends of its cell and of density at both, times the step. */
  private readonly weight: Float64Array;

  constructor(ages: number) {
    this.cell = new Int32Array(ages);
    this.weight = new Float64Array(4 * ages);
  }

  /** Sets log age `k`. */
  place(k: number, y: number, { low, step, points }: LogAgeGrid): void {
    const at = (y - low) / step;
    const { cell, weight } = this;
    if (!(at > 0)) {
      cell[k] = BEFORE_GRID;
      return;
    }
    if (at >= points - 1) {
      cell[k] = AFTER_GRID;
      return;
    }
    cell[k] = at | 0;
    const t = at - cell[k];
    const u = 1 - t;
    const w = 4 * k;
    weight[w + 1] = t * t * (3 - 2 * t);
    weight[w] = 1 - weight[w + 1];
    weight[w + 2] = -step * t * u * u;
    weight[w + 3] = step * t * t * u;
  }

  /** Writes the chance of having failed by each log age. */
  failedInto(out: Float64Array, survival: Float64Array, density: Float64Array): void {
    const { cell, weight } = this;
    for (let k = 0; k < cell.length; k++) {
      const j = cell[k];
      if (j < 0) {
        out[k] = j === BEFORE_GRID ? 0 : 1;
        continue;
      }
      const a = survival[j];
      const b = survival[j + 1];
      const w = 4 * k;
      const value = weight[w] * a + weight[w + 1] * b + weight[w + 2] * density[j] + weight[w + 3] * density[j + 1];
      out[k] = 1 - Math.max(b, Math.min(a, value));
    }
  }
}
