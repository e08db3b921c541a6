import type { MassProblem } from './innermost-intervals.ts';

/** One expectation-maximisation step costs rows + intervals, through running sums and differences. */
export interface EmStep {
  readonly logLikelihood: number;
  /** Masses after the step. */ readonly next: Float64Array;
  /** Slope of the log-likelihood in each mass, per unit of total weight: 0 where there is mass, else 0 or less at the top. */
  readonly slope: Float64Array;
}

/** Source: Turnbull (J. R. Statist. Soc. B 38, 1976): each row adds its own failure and those it hides before entry. */
export function emStep({ first, last, start, weight }: MassProblem, mass: Float64Array): EmStep {
  const size = mass.length;
  const before = new Float64Array(size + 1);
  for (let j = 0; j < size; j++) before[j + 1] = before[j] + mass[j];
  const after = new Float64Array(size + 1);
  for (let j = size - 1; j >= 0; j--) after[j] = after[j + 1] + mass[j];
  const change = new Float64Array(size + 1);
  let total = 0;
  let rowWeight = 0;
  let logLikelihood = 0;
  for (let i = 0; i < weight.length; i++) {
    // The running sum from the nearer side keeps the digits of small masses.
    const covered =
      before[first[i]] < after[last[i] + 1]
        ? before[last[i] + 1] - before[first[i]]
        : after[first[i]] - after[last[i] + 1];
    const atRisk = after[start[i]];
    logLikelihood += weight[i] * Math.log(covered / atRisk);
    change[first[i]] += weight[i] / covered;
    change[last[i] + 1] -= weight[i] / covered;
    total += weight[i] / atRisk;
    rowWeight += weight[i];
    if (start[i] > 0) {
      change[0] += weight[i] / atRisk;
      change[start[i]] -= weight[i] / atRisk;
    }
  }
  const next = new Float64Array(size);
  const slope = new Float64Array(size);
  let running = 0;
  for (let j = 0; j < size; j++) {
    running += change[j];
    next[j] = (mass[j] * running) / total;
    slope[j] = (running - total) / rowWeight;
  }
  return { logLikelihood, next: normalised(next), slope };
}

export function normalised(mass: Float64Array): Float64Array {
  let sum = 0;
  for (let j = 0; j < mass.length; j++) sum += mass[j];
  for (let j = 0; j < mass.length; j++) mass[j] /= sum;
  return mass;
}

/** At the top no slope is above 0; where it stands above bounds what is still to gain, per unit of weight. */
export const largestSlope = (slope: Float64Array): number => slope.reduce((a, b) => Math.max(a, b), -Infinity);

/**
 * Squared-extrapolation EM. Stops once the largest slope is below `tolerance` or after `maxSteps` steps.
 * Source: Varadhan and Roland (Scand. J. Statist. 35, 2008).
 */
export function acceleratedEm(
  problem: MassProblem,
  startMass: Float64Array,
  { tolerance, maxSteps }: { readonly tolerance: number; readonly maxSteps: number },
): Float64Array {
  let mass = startMass;
  for (let used = 0; used < maxSteps; used += 3) {
    const first = emStep(problem, mass);
    if (largestSlope(first.slope) < tolerance) return mass;
    const second = emStep(problem, first.next);
    const leapt = leap(mass, first.next, second.next);
    const third = emStep(problem, leapt);
    mass = third.logLikelihood >= second.logLikelihood ? third.next : second.next;
  }
  return mass;
}

function leap(start: Float64Array, once: Float64Array, twice: Float64Array): Float64Array {
  let firstSquare = 0;
  let bendSquare = 0;
  for (let j = 0; j < start.length; j++) {
    firstSquare += (once[j] - start[j]) ** 2;
    bendSquare += (twice[j] - 2 * once[j] + start[j]) ** 2;
  }
  const length = bendSquare > 0 ? Math.max(1, Math.sqrt(firstSquare / bendSquare)) : 1;
  const out = new Float64Array(start.length);
  for (let j = 0; j < start.length; j++) {
    const change = once[j] - start[j];
    const bend = twice[j] - once[j] - change;
    // A mass that a leap takes below 0 could never come back.
    out[j] = Math.max(start[j] + 2 * length * change + length * length * bend, twice[j] * 1e-2);
  }
  return normalised(out);
}
