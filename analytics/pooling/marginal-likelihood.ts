import { maximiseInBox } from '../numeric/bounded-quasi-newton.ts';
import { invertPositiveDefinite } from '../numeric/cholesky.ts';
import type { ModeFinder, PenalisedMode, Spread } from './penalised-mode.ts';

/** Gamma density of a grouping's standard deviation, which keeps it off zero and off the absurd. */
export interface SpreadPrior {
  readonly shape: number;
  readonly rate: number;
}

export interface MarginalOptions {
  readonly finder: ModeFinder;
  /** Number of levels of each grouping. */ readonly levelCounts: readonly number[];
  readonly spreadPrior: SpreadPrior | null;
  /** Spreads that are not to be estimated; null: estimate. */ readonly fixedSds: readonly number[] | null;
  readonly fixedScale: boolean;
  /** Coefficients are integrated out too, as in restricted maximum likelihood. */ readonly restricted: boolean;
  readonly coefficients: number;
}

export interface MarginalMaximum {
  readonly spread: Spread;
  readonly mode: PenalisedMode;
  readonly marginalLogLikelihood: number;
  readonly iterations: number;
  readonly converged: boolean;
  /** Names the free parameters in order: -1 log sigma, else the grouping. */ readonly free: readonly number[];
  /** Covariance of the free parameters on the log scale; 0 for those at a bound; null where the top is no peak. */
  readonly covariance: Float64Array | null;
  /** How the mode moves with each free parameter: one array for each, in the order of `mode.at`. */
  readonly modeSlopes: readonly Float64Array[];
}

export const LEAST_SD = 1e-3;
export const LARGEST_SD = 3;
const LEAST_LOG_SIGMA = Math.log(0.02);
const LARGEST_LOG_SIGMA = Math.log(5);
const GRADIENT_STEP = 1e-3;
const CURVATURE_STEP = 0.05;
/** Nearer to the least spread than this, in logs, a grouping shows no variation and its spread no curvature. */
const CLOSE_TO_BOUND = 0.5;

/**
 * Finds sigma and the spread of every grouping that make the records most likely once the level effects are
 * integrated out by Laplace's method: -1/2 log |information| at their mode, exact for normal log lives.
 * Slopes are central differences; each mode starts from where the last slopes say it will be.
 * Source of the method: Tierney and Kadane (J. Amer. Statist. Assoc. 81, 1986); of the restricted form: Laird and
 * Ware (Biometrics 38, 1982).
 */
export function maximiseMarginal(
  start: Spread,
  startMode: Float64Array,
  options: MarginalOptions,
): MarginalMaximum | null {
  const { finder, levelCounts, fixedSds, fixedScale } = options;
  const free = [...(fixedScale ? [] : [-1]), ...(fixedSds ? [] : levelCounts.keys())];
  const spreadAt = (at: Float64Array): Spread => {
    const sds = [...(fixedSds ?? start.sds)];
    let logSigma = start.logSigma;
    free.forEach((g, k) => {
      if (g < 0) logSigma = at[k];
      else sds[g] = Math.exp(at[k]);
    });
    return { logSigma, sds };
  };
  let guess: Float64Array = Float64Array.from(startMode);
  const modeAt = (at: Float64Array, from: Float64Array): PenalisedMode | null => finder.find(spreadAt(at), from);
  const marginalOf = (at: Float64Array, mode: PenalisedMode | null): number =>
    mode === null ? Number.NaN : marginalValue(spreadAt(at), mode, options);

  // Modes at the points of one difference lie on a line, near enough to need one Newton step or none.
  const slopes = free.map(() => new Float64Array(guess.length));
  const probe = (at: Float64Array, centre: Float64Array, k: number, step: number): { up: number; down: number } => {
    const moved = Float64Array.from(at);
    moved[k] = at[k] + step;
    const high = modeAt(
      moved,
      centre.map((c, j) => c + step * slopes[k][j]),
    );
    const up = marginalOf(moved, high);
    if (high) slopes[k] = high.at.map((h, j) => (h - centre[j]) / step);
    moved[k] = at[k] - step;
    const low = modeAt(
      moved,
      centre.map((c, j) => c - step * slopes[k][j]),
    );
    if (high && low) slopes[k] = high.at.map((h, j) => (h - low.at[j]) / (2 * step));
    return { up, down: marginalOf(moved, low) };
  };
  const value = (at: Float64Array): number => {
    const mode = modeAt(at, guess);
    if (mode) guess = mode.at;
    return marginalOf(at, mode);
  };
  const slope = (at: Float64Array, gradient: Float64Array): void => {
    for (let k = 0; k < free.length; k++) {
      const { up, down } = probe(at, guess, k, GRADIENT_STEP);
      gradient[k] = (up - down) / (2 * GRADIENT_STEP);
    }
  };

  const from = Float64Array.from(free, (g) => (g < 0 ? start.logSigma : Math.log(start.sds[g])));
  const found = maximiseInBox({ value, slope }, from, {
    lower: Float64Array.from(free, (g) => (g < 0 ? LEAST_LOG_SIGMA : Math.log(LEAST_SD))),
    upper: Float64Array.from(free, (g) => (g < 0 ? LARGEST_LOG_SIGMA : Math.log(LARGEST_SD))),
    longestStep: 1,
    maxIterations: 60,
    leastGain: 1e-8,
    rounding: 1e-12,
  });
  if (!Number.isFinite(found.value)) return null;

  const mode = modeAt(found.at, guess);
  if (!mode) return null;
  const inside = [...free.keys()].filter((k) => free[k] < 0 || found.at[k] > Math.log(LEAST_SD) + CLOSE_TO_BOUND);
  const covariance = curvatureCovariance(found.at, mode, { probe, modeAt, marginalOf, slopes, inside });
  // Variances are read from the last factored system, so the mode itself comes last.
  const last = modeAt(found.at, mode.at);
  return (
    last && {
      spread: spreadAt(found.at),
      mode: last,
      marginalLogLikelihood: marginalOf(found.at, last),
      iterations: found.iterations,
      converged: found.converged,
      free,
      covariance,
      modeSlopes: slopes,
    }
  );
}

function marginalValue({ logSigma, sds }: Spread, mode: PenalisedMode, options: MarginalOptions): number {
  const { levelCounts, spreadPrior, fixedSds, restricted, coefficients } = options;
  let value = mode.value - 0.5 * mode.logDeterminant;
  if (restricted) value += (coefficients / 2) * Math.log(2 * Math.PI);
  else value += 0.5 * mode.logDeterminantOfCoefficients;
  levelCounts.forEach((levels, g) => {
    value -= levels * Math.log(sds[g]);
    if (spreadPrior && !fixedSds) value += (spreadPrior.shape - 1) * Math.log(sds[g]) - spreadPrior.rate * sds[g];
  });
  return Number.isFinite(logSigma) ? value : Number.NaN;
}

interface Probes {
  readonly probe: (at: Float64Array, centre: Float64Array, k: number, step: number) => { up: number; down: number };
  readonly modeAt: (at: Float64Array, from: Float64Array) => PenalisedMode | null;
  readonly marginalOf: (at: Float64Array, mode: PenalisedMode | null) => number;
  readonly slopes: readonly Float64Array[];
  /** Parameters not at a bound. */ readonly inside: readonly number[];
}

/** Minus the inverse of the curvature by differences wide enough to see past rounding. */
function curvatureCovariance(at: Float64Array, mode: PenalisedMode, probes: Probes): Float64Array | null {
  const { probe, modeAt, marginalOf, slopes, inside } = probes;
  const n = inside.length;
  const h = CURVATURE_STEP;
  const centre = marginalOf(at, mode);
  const sides = inside.map((k) => probe(at, mode.at, k, h));
  const information = new Float64Array(n * n);
  for (let a = 0; a < n; a++) {
    information[a * n + a] = -(sides[a].up - 2 * centre + sides[a].down) / (h * h);
    for (let b = 0; b < a; b++) {
      const both = [h, -h].map((step) => {
        const moved = Float64Array.from(at);
        moved[inside[a]] += step;
        moved[inside[b]] += step;
        const from = mode.at.map((m, i) => m + step * (slopes[inside[a]][i] + slopes[inside[b]][i]));
        return marginalOf(moved, modeAt(moved, from));
      });
      const singles = sides[a].up + sides[a].down + sides[b].up + sides[b].down;
      information[a * n + b] = information[b * n + a] = -(both[0] + both[1] - singles + 2 * centre) / (2 * h * h);
    }
  }
  const inverse = information.every(Number.isFinite) ? invertPositiveDefinite(information, n) : null;
  if (!inverse) return null;
  const out = new Float64Array(at.length ** 2);
  inside.forEach((j, a) => {
    inside.forEach((k, b) => {
      out[j * at.length + k] = inverse[a * n + b];
    });
  });
  return out;
}
