import { invertPositiveDefinite } from '../numeric/cholesky.ts';
import { maximise } from '../numeric/newton.ts';
import { LEAST_GAIN } from './pooled-levels.ts';
import type { YearHazards } from './year-hazards.ts';

/** What calendar years did to all seals alike. */
export interface YearSpread {
  readonly used: boolean;
  /** SD of the log of a year's multiplier of the hazard; 0 where none shows. */ readonly sd: number;
  /** SD of the log of that SD; null where not used. */ readonly logSdSe: number | null;
  /** Twice the gain in log marginal likelihood from letting years differ. */ readonly gain: number;
  /** Years with failures expected, in order; effects are drawn in to 0 where little is expected. */
  readonly years: readonly YearEffect[];
}

export interface YearEffect {
  readonly year: number;
  /** Log of the multiplier of the hazard, 0 for an average year. */ readonly effect: number;
  readonly standardError: number;
  /** Failures expected of an average year; and those that lie in it, shared out between the bounds of each. */
  readonly expected: number;
  readonly failures: number;
}

/** Fewer years or failures than these cannot tell good years from bad ones. */
export const LEAST_YEARS = 5;
export const LEAST_YEAR_FAILURES = 20;
/** A year in which less is expected tells next to nothing. */
const LEAST_EXPECTED = 1;
const LEAST_SD = 0.03;
const LARGEST_SD = 2;
const SD_STEPS = 24;
const LEVEL_SD = 1;

/**
 * How much calendar years differ: every seal's hazard in year t is exp(a + v_t) times that of the fit, v_t N(0, sd²), with a
 * level a that takes up what the fit has too much or too little. The likelihood is that of the rows' own bounds, so a failure
 * found at a look may lie in any year since the last. sd is the mode of the Laplace marginal, looked for on a fine grid.
 * @returns null where years or failures are too few to tell
 */
export function yearSpread(hazards: YearHazards): YearSpread | null {
  const failures = hazards.weight.reduce((sum, weight) => sum + weight, 0);
  const average = shares(hazards, new Float64Array(hazards.years + 1));
  const telling = average.expected.reduce((sum, expected) => sum + Number(expected >= LEAST_EXPECTED), 0);
  if (telling < LEAST_YEARS || failures < LEAST_YEAR_FAILURES) return null;
  const none = modeAt(hazards, NO_SPREAD);
  let best = { sd: 0, value: none.value, found: none };
  const values: number[] = [];
  for (let k = 0; k <= SD_STEPS; k++) {
    const sd = LEAST_SD * (LARGEST_SD / LEAST_SD) ** (k / SD_STEPS);
    const found = modeAt(hazards, sd);
    values.push(found.value);
    if (found.value > best.value) best = { sd, value: found.value, found };
  }
  const gain = Math.max(0, 2 * (best.value - none.value));
  const used = gain >= LEAST_GAIN && best.sd > LEAST_SD;
  return {
    used,
    sd: used ? best.sd : 0,
    logSdSe: used ? spreadError(values, best.sd) : null,
    gain,
    years: yearEffects(hazards, used ? best.found : none, average),
  };
}

const NO_SPREAD = 1e-4;

interface Mode {
  /** a, then v. */ readonly at: Float64Array;
  readonly covariance: Float64Array | null;
  /** Log marginal likelihood. */ readonly value: number;
}

/** Peak of the penalised likelihood and its Laplace marginal. */
function modeAt(hazards: YearHazards, sd: number): Mode {
  const size = hazards.years + 1;
  const result = maximise(
    (at, gradient, hessian) => penalised(hazards, sd, at, gradient, hessian),
    new Float64Array(size),
    {
      maxIterations: 50,
      longestStep: (_at, step) => Math.min(1, 2 / step.reduce((most, s) => Math.max(most, Math.abs(s)), 1e-9)),
    },
  );
  const information = result.hessian.map((h) => -h);
  return {
    at: result.at,
    covariance: invertPositiveDefinite(information, size),
    value: result.value - 0.5 * logDeterminant(information, size) - hazards.years * Math.log(sd),
  };
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

/** SD of the log of the spread, from the curvature of the marginal on the grid. */
function spreadError(values: readonly number[], sd: number): number {
  const step = Math.log(LARGEST_SD / LEAST_SD) / SD_STEPS;
  const k = Math.min(SD_STEPS - 1, Math.max(1, Math.round(Math.log(sd / LEAST_SD) / step)));
  const curvature = (2 * values[k] - values[k - 1] - values[k + 1]) / step ** 2;
  return curvature > 0 ? Math.min(1, 1 / Math.sqrt(curvature)) : 1;
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

function yearEffects(
  hazards: YearHazards,
  { at, covariance }: Mode,
  average: { expected: Float64Array },
): YearEffect[] {
  const { failures } = shares(hazards, at);
  const size = hazards.years + 1;
  return Array.from({ length: hazards.years }, (_, t) => ({
    year: hazards.firstYear + t,
    effect: at[t + 1],
    standardError: covariance ? Math.sqrt(Math.max(0, covariance[(t + 1) * (size + 1)])) : 0,
    expected: average.expected[t],
    failures: failures[t],
  })).filter(({ expected }) => expected >= LEAST_EXPECTED);
}
