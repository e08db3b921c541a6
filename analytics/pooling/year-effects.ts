import { invertPositiveDefinite } from '../numeric/cholesky.ts';
import { maximise } from '../numeric/newton.ts';
import type { YearHazards } from './year-hazards.ts';

/** A year in which less is expected tells next to nothing. */
const LEAST_EXPECTED = 1;
/** SD of the level that all years share. */
const LEVEL_SD = 1;

export interface YearEffect {
  readonly year: number;
  /** Log of the multiplier of the hazard, 0 for an average year. */ readonly effect: number;
  readonly standardError: number;
  /** Failures expected of an average year; and those that lie in it, shared out between the bounds of each. */
  readonly expected: number;
  readonly failures: number;
}

/** The peak for one spread. */
export interface YearMode {
  /** a, then v. */ readonly at: Float64Array;
  readonly covariance: Float64Array | null;
  /** Log marginal likelihood. */ readonly value: number;
}

/** Peaks of the penalised likelihood and its Laplace marginal, each looked for from the one before. */
export function yearModes(hazards: YearHazards): { readonly at: (sd: number) => YearMode } {
  const size = hazards.years + 1;
  let start = new Float64Array(size);
  const at = (sd: number): YearMode => {
    const result = maximise((point, gradient, hessian) => penalised(hazards, sd, point, gradient, hessian), start, {
      maxIterations: 50,
      longestStep: (_at, step) => Math.min(1, 2 / step.reduce((most, s) => Math.max(most, Math.abs(s)), 1e-9)),
    });
    start = Float64Array.from(result.at);
    const information = result.hessian.map((h) => -h);
    return {
      at: result.at,
      covariance: invertPositiveDefinite(information, size),
      value: result.value - 0.5 * logDeterminant(information, size) - hazards.years * Math.log(sd),
    };
  };
  return { at };
}

/** Log-likelihood of all rows and log density of a and v, with gradient and Hessian in (a, v). */
function penalised(
  { years, sound, start, year, hazard, weight }: YearHazards,
  sd: number,
  at: Float64Array,
  gradient: Float64Array,
  hessian: Float64Array,
): number {
  const size = years + 1;
  gradient.fill(0);
  hessian.fill(0);
  const multiplier = Float64Array.from({ length: years }, (_, t) => Math.exp(at[0] + at[t + 1]));
  let value = 0;
  const add = (t: number, slope: number, curvature: number): void => {
    gradient[0] += slope;
    gradient[t + 1] += slope;
    hessian[0] += curvature;
    hessian[(t + 1) * size + t + 1] += curvature;
    hessian[(t + 1) * size] += curvature;
  };
  for (let t = 0; t < years; t++) {
    const gathered = multiplier[t] * sound[t];
    value -= gathered;
    add(t, -gathered, -gathered);
  }
  for (let k = 0; k + 1 < start.length; k++) {
    let between = 0;
    for (let e = start[k]; e < start[k + 1]; e++) between += multiplier[year[e]] * hazard[e];
    between = Math.max(between, 1e-300);
    const odds = 1 / Math.expm1(between);
    value += weight[k] * Math.log(-Math.expm1(-between));
    for (let e = start[k]; e < start[k + 1]; e++) {
      const own = multiplier[year[e]] * hazard[e];
      add(year[e], weight[k] * odds * own, weight[k] * odds * own);
    }
    const bend = -weight[k] * odds * (1 + odds);
    hessian[0] += bend * between * between;
    for (let e = start[k]; e < start[k + 1]; e++) {
      const own = multiplier[year[e]] * hazard[e];
      const row = (year[e] + 1) * size;
      hessian[row] += bend * between * own;
      for (let f = start[k]; f <= e; f++) hessian[row + year[f] + 1] += bend * own * multiplier[year[f]] * hazard[f];
    }
  }
  for (let j = 0; j < size; j++) {
    const precision = 1 / (j === 0 ? LEVEL_SD : sd) ** 2;
    value -= 0.5 * precision * at[j] ** 2;
    gradient[j] -= precision * at[j];
    hessian[j * size + j] -= precision;
    for (let m = 0; m < j; m++) hessian[m * size + j] = hessian[j * size + m];
  }
  return value;
}

function logDeterminant(matrix: Float64Array, n: number): number {
  const factor = Float64Array.from(matrix);
  let sum = 0;
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      let entry = factor[i * n + j];
      for (let k = 0; k < j; k++) entry -= factor[i * n + k] * factor[j * n + k];
      factor[i * n + j] = i === j ? Math.sqrt(Math.max(entry, 1e-300)) : entry / factor[j * n + j];
    }
    sum += 2 * Math.log(factor[j * n + j]);
  }
  return sum;
}

/** Failures expected and shared out by year, at (a, v). */
function shares({ years, sound, start, year, hazard, weight }: YearHazards, at: Float64Array) {
  const expected = Float64Array.from(sound);
  const failures = new Float64Array(years);
  for (let k = 0; k + 1 < start.length; k++) {
    let between = 0;
    for (let e = start[k]; e < start[k + 1]; e++) between += Math.exp(at[year[e] + 1]) * hazard[e];
    // Mean hazard gathered by a failure that lies within, over all of it.
    const gathered = between < 1e-6 ? 0.5 : 1 / between - 1 / Math.expm1(between);
    for (let e = start[k]; e < start[k + 1]; e++) {
      failures[year[e]] += (weight[k] * Math.exp(at[year[e] + 1]) * hazard[e]) / between;
      expected[year[e]] += weight[k] * hazard[e] * gathered;
    }
  }
  return { expected, failures };
}

/** @param mode null: nothing is known of the years, and each is taken as average */
export function yearEffects(hazards: YearHazards, mode: YearMode | null): YearEffect[] {
  const size = hazards.years + 1;
  const { expected } = shares(hazards, new Float64Array(size));
  const { failures } = shares(hazards, mode?.at ?? new Float64Array(size));
  return Array.from({ length: hazards.years }, (_, t) => ({
    year: hazards.firstYear + t,
    effect: mode?.at[t + 1] ?? 0,
    standardError: mode?.covariance ? Math.sqrt(Math.max(0, mode.covariance[(t + 1) * (size + 1)])) : 0,
    expected: expected[t],
    failures: failures[t],
  })).filter((year) => year.expected >= LEAST_EXPECTED);
}
