import { type SurvivalTable, standardHazard } from './standard-life.ts';

/** Below this survival at the start the table has too few digits left, and exact hazards are used. */
const SMALLEST_START = 0.05;
/** A life curve that gives the damage evidence less mass than this cannot be reconciled with it. */
const SMALLEST_EVIDENCE = 1e-9;

/** One draw of log T = eta + W / perSigma. */
export interface LifeDraw {
  eta: number;
  perSigma: number;
}

/**
 * Survival at each age given soundness at the start, written to `out[from..to)`.
 * `logAges`: log years, non-decreasing, at least `logStart`; -Infinity is age 0.
 */
export function conditionalSurvivalInto(
  out: Float64Array,
  logAges: Float64Array,
  from: number,
  to: number,
  logStart: number,
  draw: LifeDraw,
  table: SurvivalTable,
): void {
  const { values, perUnit, fromZ, lastCell } = table;
  const { eta, perSigma } = draw;
  const atStart = lookUp(table, (logStart - eta) * perSigma);
  if (atStart < SMALLEST_START) {
    conditionalExactInto(out, logAges, from, to, logStart, draw, table);
    return;
  }
  const perStart = 1 / atStart;
  const perLog = perSigma * perUnit;
  const shift = -(eta * perSigma + fromZ) * perUnit;
  for (let j = from; j < to; j++) {
    const at = logAges[j] * perLog + shift;
    if (at <= 0) out[j] = perStart;
    else if (at >= lastCell) out[j] = 0;
    else {
      const cell = at | 0;
      const left = values[cell];
      out[j] = (left + (at - cell) * (values[cell + 1] - left)) * perStart;
    }
  }
}

function conditionalExactInto(
  out: Float64Array,
  logAges: Float64Array,
  from: number,
  to: number,
  logStart: number,
  { eta, perSigma }: LifeDraw,
  { family }: SurvivalTable,
): void {
  const atStart = standardHazard(family, (logStart - eta) * perSigma);
  for (let j = from; j < to; j++)
    out[j] = Math.exp(Math.min(0, atStart - standardHazard(family, (logAges[j] - eta) * perSigma)));
}

function lookUp({ values, perUnit, fromZ, lastCell }: SurvivalTable, z: number): number {
  const at = (z - fromZ) * perUnit;
  if (at <= 0) return 1;
  if (at >= lastCell) return 0;
  const cell = at | 0;
  return values[cell] + (at - cell) * (values[cell + 1] - values[cell]);
}

/**
 * Turns survival at successive ages, in place, into survival given damage evidence as well: the mass of each cell
 * between two ages is multiplied by the evidence's likelihood there and brought back to a total of 1.
 * `weights[from..to]`: the likelihood of the cell that ends at each age, then that of everything later.
 * Where curve and evidence exclude each other the curve stands.
 */
export function weighByEvidence(out: Float64Array, weights: Float64Array, from: number, to: number): void {
  let total = 0;
  let before = 1;
  for (let j = from; j < to; j++) {
    total += (before - out[j]) * weights[j];
    before = out[j];
  }
  total += before * weights[to];
  if (!(total > SMALLEST_EVIDENCE)) return;
  const perTotal = 1 / total;
  let left = total;
  before = 1;
  for (let j = from; j < to; j++) {
    const survival = out[j];
    left -= (before - survival) * weights[j];
    before = survival;
    out[j] = left > 0 ? left * perTotal : 0;
  }
}
