import { maximiseInBox } from '../numeric/bounded-quasi-newton.ts';
import { invertPositiveDefinite } from '../numeric/cholesky.ts';
import type { FindModes } from './mode-chunks.ts';
import type { ModeFinder, PenalisedMode, Spread } from './penalised-mode.ts';

/** Gamma density of a grouping's standard deviation, which keeps it off zero and off the absurd. */
export interface SpreadPrior {
  readonly shape: number;
  readonly rate: number;
}

export interface MarginalOptions {
  readonly finder: ModeFinder;
  /** Finds several at a time, by whichever threads. */ readonly modes: FindModes;
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
  const { finder, modes, levelCounts, fixedSds, fixedScale } = options;
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
  const slopes: Float64Array[] = free.map(() => new Float64Array(guess.length));
  const marginalsAt: Marginals = (moves, at, centre) => {
    const places = moves.map((move) => at.map((x, k) => x + move[k]));
    const wanted = moves.map((move, p) => ({
      spread: spreadAt(places[p]),
      from: centre.map((c, j) => slopes.reduce((sum, slope, k) => sum + move[k] * slope[j], c)),
    }));
    return modes(wanted).map((mode, p) => ({ mode, value: marginalOf(places[p], mode) }));
  };
  /** Both sides of every free parameter, all at once; the slopes of the mode follow. */
  const sidesOf = (at: Float64Array, centre: Float64Array, step: number): Side[] => {
    const moves = free.flatMap((_, k) => [step, -step].map((move) => alongOne(free.length, k, move)));
    const found = marginalsAt(moves, at, centre);
    return free.map((_, k) => {
      const [high, low] = [found[2 * k], found[2 * k + 1]];
      if (high.mode) slopes[k] = slopeBetween(high.mode.at, low.mode?.at ?? centre, low.mode ? 2 * step : step);
      return { up: high.value, down: low.value };
    });
  };
  const value = (at: Float64Array): number => {
    const mode = modeAt(at, guess);
    if (mode) guess = mode.at;
    return marginalOf(at, mode);
  };
  const slope = (at: Float64Array, gradient: Float64Array): void => {
    sidesOf(at, guess, GRADIENT_STEP).forEach(({ up, down }, k) => {
      gradient[k] = (up - down) / (2 * GRADIENT_STEP);
    });
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
  const covariance = curvatureCovariance(found.at, mode, {
    sides: sidesOf(found.at, mode.at, CURVATURE_STEP),
    centre: marginalOf(found.at, mode),
    marginalsAt,
    inside,
  });
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

/** Marginal log-likelihoods at some moves of the free parameters from a place where the mode is known. */
type Marginals = (
  moves: readonly Float64Array[],
  at: Float64Array,
  centre: Float64Array,
) => { readonly mode: PenalisedMode | null; readonly value: number }[];

/** Marginal log-likelihoods a step up and a step down one free parameter. */
interface Side {
  readonly up: number;
  readonly down: number;
}

const alongOne = (length: number, k: number, move: number): Float64Array => {
  const out = new Float64Array(length);
  out[k] = move;
  return out;
};

const slopeBetween = (high: Float64Array, low: Float64Array, distance: number): Float64Array =>
  high.map((h, j) => (h - low[j]) / distance);

interface Curvature {
  /** One for each free parameter, `CURVATURE_STEP` away. */ readonly sides: readonly Side[];
  readonly centre: number;
  readonly marginalsAt: Marginals;
  /** Parameters not at a bound. */ readonly inside: readonly number[];
}

/** Minus the inverse of the curvature by differences wide enough to see past rounding. */
function curvatureCovariance(at: Float64Array, mode: PenalisedMode, curvature: Curvature): Float64Array | null {
  const { sides, centre, marginalsAt, inside } = curvature;
  const n = inside.length;
  const h = CURVATURE_STEP;
  const information = new Float64Array(n * n);
  const pairs = inside.flatMap((_, a) => Array.from({ length: a }, (_none, b) => [a, b] as const));
  const moves = pairs.flatMap(([a, b]) =>
    [h, -h].map((step) => {
      const move = alongOne(at.length, inside[a], step);
      move[inside[b]] = step;
      return move;
    }),
  );
  const both = marginalsAt(moves, at, mode.at);
  const side = (a: number): Side => sides[inside[a]];
  for (let a = 0; a < n; a++) information[a * n + a] = -(side(a).up - 2 * centre + side(a).down) / (h * h);
  pairs.forEach(([a, b], p) => {
    const singles = side(a).up + side(a).down + side(b).up + side(b).down;
    const sum = both[2 * p].value + both[2 * p + 1].value;
    information[a * n + b] = information[b * n + a] = -(sum - singles + 2 * centre) / (2 * h * h);
  });
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
