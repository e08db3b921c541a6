import { choleskyInPlace, choleskySolveInPlace } from '../numeric/cholesky.ts';
import type { MassProblem } from './innermost-intervals.ts';
import { emStep, largestSlope, normalised } from './turnbull-em.ts';

const MAX_ROUNDS = 300;

/**
 * Polishes masses that EM has brought near the top: Newton steps in the survival between the intervals that carry
 * mass, letting an interval go when its mass meets 0 and taking one in where the slope is above 0.
 * EM alone creeps towards masses that are 0.
 */
export function newtonMasses(problem: MassProblem, startMass: Float64Array, tolerance: number): Float64Array {
  let mass = dropFading(problem, startMass);
  for (let round = 0; round < MAX_ROUNDS; round++) {
    const moved = newtonStep(problem, mass);
    if (moved) {
      mass = moved.mass;
      if (moved.decrement > tolerance) continue;
    }
    const { slope } = emStep(problem, mass);
    if (largestSlope(slope) <= tolerance) return mass;
    const widened = admit(mass, slope, tolerance);
    if (!widened) return mass;
    mass = widened;
  }
  return mass;
}

/** Masses that are small and shrinking are 0 at the top; those let go in error are taken in again later. */
function dropFading(problem: MassProblem, mass: Float64Array): Float64Array {
  const { slope } = emStep(problem, mass);
  const fading = mass.map((m, j) => (m < 1e-3 / Math.sqrt(mass.length) && slope[j] < -1e-3 ? 0 : m));
  const kept = normalised(fading.map((m) => (m < 1e-12 ? 0 : m)));
  return Number.isFinite(emStep(problem, kept).logLikelihood) ? kept : mass;
}

/** Gives a little mass to the empty intervals whose slope is a local peak above 0; null where all have mass already. */
function admit(mass: Float64Array, slope: Float64Array, tolerance: number): Float64Array | null {
  const out = Float64Array.from(mass);
  let admitted = 0;
  for (let j = 0; j < mass.length; j++) {
    if (mass[j] > 0 || slope[j] <= tolerance) continue;
    if (slope[j] < (slope[j - 1] ?? -Infinity) || slope[j] < (slope[j + 1] ?? -Infinity)) continue;
    out[j] = 1e-6;
    admitted++;
  }
  return admitted > 0 ? normalised(out) : null;
}

interface Moved {
  readonly mass: Float64Array;
  /** Rise of the log-likelihood that the step promised, per unit of weight. */ readonly decrement: number;
}

function newtonStep(problem: MassProblem, mass: Float64Array): Moved | null {
  const active = Int32Array.from([...mass.keys()].filter((j) => mass[j] > 0));
  const size = active.length - 1;
  if (size < 1) return null;
  const { gradient, information } = survivalDerivatives(problem, mass, active);
  const step = solveDamped(information, gradient, size);
  if (!step) return null;
  let decrement = 0;
  for (let k = 0; k < size; k++) decrement += step[k] * gradient[k];
  // Mass k lies between survival k and k + 1, of which the outermost are 1 and 0.
  const massStep = Float64Array.from(active, (_, k) => (k > 0 ? step[k - 1] : 0) - (k < size ? step[k] : 0));
  let limit = 1;
  let leaving = -1;
  active.forEach((j, k) => {
    if (massStep[k] < 0 && mass[j] < -limit * massStep[k]) {
      limit = -mass[j] / massStep[k];
      leaving = j;
    }
  });
  const start = emStep(problem, mass).logLikelihood;
  const total = problem.weight.reduce((a, b) => a + b, 0);
  for (let length = limit, tries = 0; tries < 30; length /= 2, tries++) {
    const out = Float64Array.from(mass);
    active.forEach((j, k) => {
      out[j] = Math.max(0, mass[j] + length * massStep[k]);
    });
    if (length === limit && leaving >= 0) out[leaving] = 0;
    const { logLikelihood } = emStep(problem, normalised(out));
    // Near the top the last steps change the sum by less than its rounding.
    if (logLikelihood >= start - 1e-12 * (1 + Math.abs(start))) return { mass: out, decrement: decrement / total };
  }
  return null;
}

/** Gradient and negative Hessian in the survival after each active interval but the last. */
function survivalDerivatives({ first, last, start, weight }: MassProblem, mass: Float64Array, active: Int32Array) {
  const size = active.length - 1;
  // How many active intervals lie before each interval: the index of the survival just before it.
  const index = new Int32Array(mass.length + 1);
  for (let j = 0; j < mass.length; j++) index[j + 1] = index[j] + (mass[j] > 0 ? 1 : 0);
  const survival = new Float64Array(active.length + 1);
  for (let k = active.length - 1; k >= 0; k--) survival[k] = survival[k + 1] + mass[active[k]];
  const gradient = new Float64Array(size);
  const information = new Float64Array(size * size);
  const isFree = (k: number): boolean => k > 0 && k <= size;
  for (let i = 0; i < weight.length; i++) {
    const a = index[first[i]];
    const b = index[last[i] + 1];
    const slope = weight[i] / (survival[a] - survival[b]);
    const bend = slope * (slope / weight[i]);
    if (isFree(a)) {
      gradient[a - 1] += slope;
      information[(a - 1) * size + a - 1] += bend;
    }
    if (isFree(b)) {
      gradient[b - 1] -= slope;
      information[(b - 1) * size + b - 1] += bend;
    }
    if (isFree(a) && isFree(b)) {
      information[(a - 1) * size + b - 1] -= bend;
      information[(b - 1) * size + a - 1] -= bend;
    }
    const e = index[start[i]];
    if (isFree(e)) {
      gradient[e - 1] -= weight[i] / survival[e];
      information[(e - 1) * size + e - 1] -= weight[i] / survival[e] ** 2;
    }
  }
  return { gradient, information };
}

function solveDamped(information: Float64Array, gradient: Float64Array, size: number): Float64Array | null {
  for (const damping of [0, 1e-10, 1e-6, 1e-3, 0.1, 10, 1000]) {
    const factor = Float64Array.from(information);
    for (let k = 0; k < size; k++) factor[k * size + k] += damping * (Math.abs(information[k * size + k]) + 1e-300);
    if (!choleskyInPlace(factor, size)) continue;
    const step = Float64Array.from(gradient);
    choleskySolveInPlace(factor, size, step);
    if (step.every(Number.isFinite)) return step;
  }
  return null;
}
