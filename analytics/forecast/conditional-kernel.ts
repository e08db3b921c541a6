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

/**
 * Failed share at each age given soundness at the start and, with `weights`, damage evidence as well: what
 * `conditionalSurvivalInto` and `weighByEvidence` give, in one pass over the table. `out[from..to)` is in units of its
 * own, so that no age needs a division.
 * @returns the factor that turns `out` into a share of 1
 */
export function failedMassInto(
  out: Float64Array,
  logAges: Float64Array,
  from: number,
  to: number,
  logStart: number,
  draw: LifeDraw,
  table: SurvivalTable,
  weights: Float64Array | null,
): number {
  const atStart = lookUp(table, (logStart - draw.eta) * draw.perSigma);
  if (atStart >= SMALLEST_START) {
    const mass = weights
      ? weighedMassInto(out, logAges, from, to, atStart, draw, table, weights)
      : plainMassInto(out, logAges, from, to, atStart, draw, table);
    if (mass > SMALLEST_EVIDENCE * atStart) return 1 / mass;
  }
  conditionalSurvivalInto(out, logAges, from, to, logStart, draw, table);
  if (weights) weighByEvidence(out, weights, from, to);
  for (let j = from; j < to; j++) out[j] = 1 - out[j];
  return 1;
}

function plainMassInto(
  out: Float64Array,
  logAges: Float64Array,
  from: number,
  to: number,
  atStart: number,
  { eta, perSigma }: LifeDraw,
  { values, perUnit, fromZ, lastCell }: SurvivalTable,
): number {
  const perLog = perSigma * perUnit;
  const shift = -(eta * perSigma + fromZ) * perUnit;
  let j = from;
  for (; j < to && logAges[j] * perLog + shift <= 0; j++) out[j] = 0;
  for (; j < to; j++) {
    const at = logAges[j] * perLog + shift;
    if (at >= lastCell) break;
    const cell = at | 0;
    const left = values[cell];
    out[j] = atStart - left - (at - cell) * (values[cell + 1] - left);
  }
  for (; j < to; j++) out[j] = atStart;
  return atStart;
}

function weighedMassInto(
  out: Float64Array,
  logAges: Float64Array,
  from: number,
  to: number,
  atStart: number,
  { eta, perSigma }: LifeDraw,
  { values, perUnit, fromZ, lastCell }: SurvivalTable,
  weights: Float64Array,
): number {
  const perLog = perSigma * perUnit;
  const shift = -(eta * perSigma + fromZ) * perUnit;
  let mass = 0;
  let before = atStart;
  let j = from;
  for (; j < to && logAges[j] * perLog + shift <= 0; j++) out[j] = 0;
  for (; j < to; j++) {
    const at = logAges[j] * perLog + shift;
    if (at >= lastCell) break;
    const cell = at | 0;
    const left = values[cell];
    const survival = left + (at - cell) * (values[cell + 1] - left);
    mass += (before - survival) * weights[j];
    before = survival;
    out[j] = mass;
  }
  // Nothing of this draw lives on to the ages that are left, or to later ones.
  mass += before * weights[j];
  for (; j < to; j++) out[j] = mass;
  return mass;
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
