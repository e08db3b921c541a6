import type { AftPrior } from '../survival/aft.ts';
import { priorValue, standardisedPrior } from '../survival/posterior-density.ts';
import { newRowScore, rowScores } from '../survival/row-scores.ts';
import type { FamilyTerms } from '../survival/row-terms.ts';
import {
  type Factor,
  factorise,
  inverseDiagonal,
  inverseOfTail,
  logDeterminants,
  newFactor,
  newLevelSystem,
  solveInPlace,
} from './level-solver.ts';
import type { PooledRows } from './pooled-rows.ts';

/** Spread of life that is taken as known while the effects are sought. */
export interface Spread {
  readonly logSigma: number;
  /** Standard deviation of log life among the levels of each grouping, above 0. */ readonly sds: readonly number[];
}

/** Mode of level effects (in the order of `levelStart`) and standardised coefficients for a given spread. */
export interface PenalisedMode {
  /** Level effects of every grouping in turn, then coefficients. */ readonly at: Float64Array;
  /** Log-likelihood plus log densities of effects (without their constants) and prior. */ readonly value: number;
  /** Of the information about all of them, and about the coefficients given the effects integrated out. */
  readonly logDeterminant: number;
  readonly logDeterminantOfCoefficients: number;
}

export interface ModeFinder {
  /** Where the levels of each grouping start in `at`; its last entry is where the coefficients start. */
  readonly levelStart: Int32Array;
  /** null where no mode with positive information was found. */
  readonly find: (spread: Spread, start: Float64Array) => PenalisedMode | null;
  /** Posterior variances at the last mode found, in the order of `at`. */ readonly variances: () => Float64Array;
  /** Posterior covariance of the coefficients at the last mode found. */ readonly coefficientCovariance: () => Float64Array;
}

const MAX_ITERATIONS = 60;
const MAX_BACKTRACKS = 30;
/** Newton decrement below which the quadratic rest is added and the search is over. */
const TOLERANCE = 1e-11;
/** Sums over many rows carry rounding of about this share. */
const ROUNDING = 1e-12;

/** Damped Newton on log-likelihood minus b² / (2 sd²), with level effects stored by index and scattered into. */
export function modeFinder(
  rows: PooledRows,
  terms: FamilyTerms,
  prior: AftPrior | null,
  fixedScale: boolean,
): ModeFinder {
  const { design, levelOf, groupings } = rows;
  const { columns, patternStart, weight } = design;
  const width = design.kept.length;
  const groups = groupings.length;
  const levelStart = new Int32Array(groups + 1);
  groupings.forEach(({ levels }, g) => {
    levelStart[g + 1] = levelStart[g] + levels.length;
  });
  const levelTotal = levelStart[groups];
  const size = levelTotal + width;

  // The largest grouping goes first in the system, as the diagonal; `place` maps an entry of `at` to its place there.
  const largest = groupings.reduce(
    (best, { levels }, g) => (levels.length > (groupings[best]?.levels.length ?? 0) ? g : best),
    0,
  );
  const eliminated = groups === 0 ? 0 : groupings[largest].levels.length;
  const place = new Int32Array(size);
  let next = eliminated;
  for (let g = 0; g < groups; g++)
    for (let l = levelStart[g]; l < levelStart[g + 1]; l++) place[l] = g === largest ? l - levelStart[g] : next++;
  for (let j = 0; j < width; j++) place[levelTotal + j] = next++;
  const dense = size - eliminated;
  const system = newLevelSystem(eliminated, dense);
  const factor: Factor = newFactor(system);
  const gradient = new Float64Array(size);
  const step = new Float64Array(size);
  const penalty = prior && standardisedPrior(design, prior);
  const score = rowScores(design, terms);
  const row = newRowScore();
  const places = new Int32Array(groups);
  const theta = new Float64Array(width + 1);

  const scatter = (k: number, slope: number, information: number): void => {
    const { diagonal, coupling, block } = system;
    let first = -1;
    let known = 0;
    for (let g = 0; g < groups; g++) {
      const level = levelOf[k * groups + g];
      if (level < 0) continue;
      const at = place[levelStart[g] + level];
      gradient[at] += slope;
      if (g === largest) {
        first = at;
        diagonal[at] += information;
      } else places[known++] = at - eliminated;
    }
    const coefficientStart = dense - width;
    for (let a = 0; a < known; a++) {
      const at = places[a];
      if (first >= 0) coupling[first * dense + at] += information;
      for (let b = 0; b < known; b++) if (places[b] <= at) block[at * dense + places[b]] += information;
    }
    for (let j = 0; j < width; j++) {
      const x = columns[k * width + j];
      if (x === 0) continue;
      gradient[eliminated + coefficientStart + j] += slope * x;
      const scaled = information * x;
      if (first >= 0) coupling[first * dense + coefficientStart + j] += scaled;
      const base = (coefficientStart + j) * dense;
      for (let a = 0; a < known; a++) block[base + places[a]] += scaled;
      for (let m = 0; m <= j; m++) block[base + coefficientStart + m] += scaled * columns[k * width + m];
    }
  };

  /** Fills gradient and system; NaN or Infinity in the value means that the point is out of reach. */
  const evaluate = (at: Float64Array, { logSigma, sds }: Spread): number => {
    gradient.fill(0);
    system.diagonal.fill(0);
    system.coupling.fill(0);
    system.block.fill(0);
    const tau = Math.exp(-logSigma);
    let value = design.constant;
    for (let k = 0; k + 1 < patternStart.length; k++) {
      let predictor = 0;
      for (let j = 0; j < width; j++) predictor += columns[k * width + j] * at[levelTotal + j];
      for (let g = 0; g < groups; g++) {
        const level = levelOf[k * groups + g];
        if (level >= 0) predictor += at[levelStart[g] + level];
      }
      let slope = 0;
      let curvature = 0;
      for (let i = patternStart[k]; i < patternStart[k + 1]; i++) {
        score(i, tau * predictor, tau, row);
        value += weight[i] * row[0];
        slope += weight[i] * row[1];
        curvature += weight[i] * row[3];
      }
      scatter(k, tau * slope, -tau * tau * curvature);
    }
    return value + penalise(at, logSigma, sds);
  };

  const penalise = (at: Float64Array, logSigma: number, sds: readonly number[]): number => {
    let value = 0;
    for (let g = 0; g < groups; g++) {
      const precision = 1 / sds[g] ** 2;
      for (let l = levelStart[g]; l < levelStart[g + 1]; l++) {
        value -= 0.5 * precision * at[l] ** 2;
        gradient[place[l]] -= precision * at[l];
        if (g === largest) system.diagonal[place[l]] += precision;
        else system.block[(place[l] - eliminated) * (dense + 1)] += precision;
      }
    }
    if (!prior || !penalty) return value;
    theta.set(at.subarray(levelTotal));
    theta[width] = logSigma;
    const start = dense - width;
    for (let j = 0; j < width; j++) {
      let pull = penalty.pull[j];
      for (let m = 0; m < width; m++) pull -= penalty.precision[j * width + m] * theta[m];
      gradient[eliminated + start + j] += pull;
      for (let m = 0; m <= j; m++) system.block[(start + j) * dense + start + m] += penalty.precision[j * width + m];
    }
    return value + priorValue(design, prior, theta, fixedScale);
  };

  const find = (spread: Spread, start: Float64Array): PenalisedMode | null => {
    const here = Float64Array.from(start);
    const trial = new Float64Array(size);
    let value = evaluate(here, spread);
    let damping = 0;
    for (let iteration = 0; iteration < MAX_ITERATIONS; iteration++) {
      if (!Number.isFinite(value)) return null;
      while (!factorise(system, damping, factor)) {
        damping = Math.max(10 * damping, 1e-3);
        if (damping > 1e12) return null;
      }
      step.set(gradient);
      solveInPlace(system, factor, step);
      let decrement = 0;
      for (let j = 0; j < size; j++) decrement += step[j] * gradient[j];
      if (!(decrement >= 0)) return null;
      if (decrement < TOLERANCE && damping === 0) {
        for (let j = 0; j < size; j++) here[j] += step[place[j]];
        const { whole, ofTail } = logDeterminants(system, factor, width);
        return {
          at: here,
          value: value + decrement / 2,
          logDeterminant: whole,
          logDeterminantOfCoefficients: ofTail,
        };
      }
      let length = 1;
      let climbed = false;
      for (let k = 0; k < MAX_BACKTRACKS && !climbed; k++, length *= 0.4) {
        for (let j = 0; j < size; j++) trial[j] = here[j] + length * step[place[j]];
        const reached = evaluate(trial, spread);
        climbed = reached >= value + 1e-4 * length * decrement - ROUNDING * Math.abs(value);
        if (climbed) value = reached;
      }
      if (climbed) {
        here.set(trial);
        damping = damping / 10 < 1e-9 ? 0 : damping / 10;
      } else {
        damping = Math.max(10 * damping, 1e-3);
        if (damping > 1e12) return null;
        value = evaluate(here, spread);
      }
    }
    return null;
  };

  const variances = (): Float64Array => {
    const inverse = inverseDiagonal(system, factor);
    return Float64Array.from(place, (at) => inverse[at]);
  };
  return { levelStart, find, variances, coefficientCovariance: () => inverseOfTail(system, factor, width) };
}
