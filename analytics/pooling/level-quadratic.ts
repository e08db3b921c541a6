import type { RowInformation } from '../condition/row-information.ts';
import type { AftData, AftPrior } from '../survival/aft.ts';
import {
  type Factor,
  factorise,
  inverseDiagonal,
  type LevelSystem,
  logDeterminants,
  newFactor,
  newLevelSystem,
  solveInPlace,
} from './level-solver.ts';
import type { Grouping } from './pooled-rows.ts';

/** Where the effects of every grouping and then the coefficients stand in one long vector, and in the system. */
export interface LevelPlaces {
  /** Where the levels of each grouping start; its last entry is where the coefficients start. */
  readonly levelStart: Int32Array;
  readonly size: number;
  /** Of each entry: its place in the system, the largest grouping first, which is eliminated as a diagonal. */
  readonly place: Int32Array;
  readonly eliminated: number;
}

export function levelPlaces(groupings: readonly Grouping[], coefficients: number): LevelPlaces {
  const levelStart = new Int32Array(groupings.length + 1);
  groupings.forEach(({ levels }, g) => {
    levelStart[g + 1] = levelStart[g] + levels.length;
  });
  const counts = groupings.map(({ levels }) => levels.length);
  const largest = counts.indexOf(Math.max(...counts));
  const eliminated = counts[largest] ?? 0;
  const size = levelStart[groupings.length] + coefficients;
  const place = new Int32Array(size);
  let next = eliminated;
  counts.forEach((count, g) => {
    for (let l = 0; l < count; l++) place[levelStart[g] + l] = g === largest ? l : next++;
  });
  for (let j = levelStart[groupings.length]; j < size; j++) place[j] = next++;
  return { levelStart, size, place, eliminated };
}

/**
 * The log-likelihood of a fit as a quadratic in level effects u and changes of its coefficients: r'x - x'A x / 2, from each
 * row's slope and information in its own mean log life. The prior of the coefficients is in it, that of the effects is not.
 */
export interface LevelQuadratic {
  readonly places: LevelPlaces;
  readonly system: LevelSystem;
  /** r, in places of the system. */ readonly pull: Float64Array;
}

/**
 * @param effects in the order of `places`, those that the slopes were taken at; coefficients are those of the fit
 * @throws RangeError where the rows have an intercept
 */
export function levelQuadratic(
  data: AftData,
  groupings: readonly Grouping[],
  prior: AftPrior,
  at: { readonly information: RowInformation; readonly effects: Float64Array; readonly coefficients: Float64Array },
): LevelQuadratic {
  if (data.intercept)
    throw new RangeError('The rows have an intercept; expected columns that span it, one for each class');
  const width = data.names.length;
  const places = levelPlaces(groupings, width);
  const { place, levelStart, size, eliminated } = places;
  const dense = size - eliminated;
  const system = newLevelSystem(eliminated, dense);
  const pull = new Float64Array(size);
  const { diagonal, coupling, block } = system;
  const own = new Int32Array(groupings.length);
  const first = dense - width;
  for (let i = 0; i < data.lower.length; i++) {
    const information = data.weight[i] * at.information.information[i];
    let shift = 0;
    let known = 0;
    let level = -1;
    for (const [g, { index }] of groupings.entries()) {
      if (index[i] < 0) continue;
      const entry = levelStart[g] + index[i];
      shift += at.effects[entry];
      if (place[entry] < eliminated) level = place[entry];
      else own[known++] = place[entry] - eliminated;
    }
    const slope = data.weight[i] * at.information.slope[i] + information * shift;
    if (level >= 0) {
      pull[level] += slope;
      diagonal[level] += information;
    }
    for (let a = 0; a < known; a++) {
      pull[eliminated + own[a]] += slope;
      if (level >= 0) coupling[level * dense + own[a]] += information;
      for (let b = 0; b < known; b++) if (own[b] <= own[a]) block[own[a] * dense + own[b]] += information;
    }
    for (let j = 0; j < width; j++) {
      const x = data.covariates[i * width + j];
      if (x === 0) continue;
      pull[eliminated + first + j] += slope * x;
      const scaled = information * x;
      if (level >= 0) coupling[level * dense + first + j] += scaled;
      const base = (first + j) * dense;
      for (let a = 0; a < known; a++) block[base + own[a]] += scaled;
      for (let m = 0; m <= j; m++) block[base + first + m] += scaled * data.covariates[i * width + m];
    }
  }
  for (let j = 0; j < width; j++) {
    const precision = prior.sds[j] < Infinity ? 1 / prior.sds[j] ** 2 : 0;
    block[(first + j) * (dense + 1)] += precision;
    pull[eliminated + first + j] += precision * (prior.means[j] - at.coefficients[j]);
  }
  return { places, system, pull };
}

/** The peak of a quadratic once effects are normal with given spreads. */
export interface LevelPeak {
  /** Effects of every grouping in turn, then changes of the coefficients. */ readonly at: Float64Array;
  /** Effects and coefficients integrated out, up to a constant that spreads do not touch. */
  readonly logMarginal: number;
  readonly system: LevelSystem;
  readonly factor: Factor;
}

/** @param sds one for each grouping, above 0 @returns null where the information is not positive definite */
export function peakOf({ places, system, pull }: LevelQuadratic, sds: readonly number[]): LevelPeak | null {
  const { levelStart, place, size, eliminated } = places;
  const { dense } = system;
  const withPrior: LevelSystem = {
    ...system,
    diagonal: Float64Array.from(system.diagonal),
    block: Float64Array.from(system.block),
  };
  let logSpread = 0;
  sds.forEach((sd, g) => {
    const precision = 1 / (sd * sd);
    logSpread += (levelStart[g + 1] - levelStart[g]) * Math.log(sd);
    for (let entry = levelStart[g]; entry < levelStart[g + 1]; entry++) {
      const at = place[entry];
      if (at < eliminated) withPrior.diagonal[at] += precision;
      else withPrior.block[(at - eliminated) * (dense + 1)] += precision;
    }
  });
  const factor = newFactor(withPrior);
  if (!factorise(withPrior, 0, factor)) return null;
  const solution = Float64Array.from(pull);
  solveInPlace(withPrior, factor, solution);
  let half = 0;
  for (let a = 0; a < size; a++) half += 0.5 * pull[a] * solution[a];
  const logMarginal = half - 0.5 * logDeterminants(withPrior, factor, 0).whole - logSpread;
  return { at: Float64Array.from(place, (a) => solution[a]), logMarginal, system: withPrior, factor };
}

/** Posterior variances at a peak, in the order of `at`. */
export function peakVariances({ system, factor }: LevelPeak, { place }: LevelPlaces): Float64Array {
  const inverse = inverseDiagonal(system, factor);
  return Float64Array.from(place, (a) => inverse[a]);
}
