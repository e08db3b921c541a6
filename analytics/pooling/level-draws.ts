import { choleskyInPlace, choleskySolveInPlace } from '../numeric/cholesky.ts';
import { seededRandom } from '../numeric/seeded-normals.ts';
import type { PosteriorDraws } from '../survival/aft.ts';
import type { LevelPeak, LevelPlaces, LevelQuadratic } from './level-quadratic.ts';

/** Effects of one grouping's levels on log life, draw by draw. */
export interface GroupingDraws {
  readonly name: string;
  readonly levels: readonly string[];
  /** Levels after those named, for seals of which it is not recorded: any of them may be theirs. */
  readonly unknownLevels: number;
  /** A new seal has another one of these: a lot, but not a district. */ readonly ofSeal: boolean;
  /** SD among levels, one for each draw. */ readonly sd: Float64Array;
  /** Level by level, (levels + unknownLevels) x draws. */ readonly effects: Float32Array;
}

/** What is drawn of one grouping. */
export interface DrawnGrouping {
  readonly name: string;
  readonly levels: readonly string[];
  readonly unknownLevels: number;
  readonly ofSeal: boolean;
  /** Its place among the groupings of the quadratic. */ readonly grouping: number;
  readonly sd: number;
  /** SD of log sd. */ readonly logSdSe: number;
}

export interface LevelDrawParts {
  readonly quadratic: LevelQuadratic;
  readonly peak: LevelPeak;
  readonly groupings: readonly DrawnGrouping[];
  /** Those that the draws of the coefficients took as known. */ readonly effects: Float64Array;
  /** Degrees of freedom that the effects take. */ readonly freedom: number;
  /** Of coefficients, then log sigma unless it is fixed, with the effects taken as known; row-major. */
  readonly covariance: Float64Array | null;
  readonly seed: number;
}

/**
 * Effects drawn together for all levels from their normal posterior, and draws of the coefficients, made with the effects taken
 * as known, moved along: where the effects of districts are high by chance, what districts share is low. So every draw is one
 * whole possible truth, and seals of one level share what is not known of it.
 *
 * With effects taken as known at their mode sigma comes out too small, as a variance does about a fitted mean: the log marginal
 * likelihood has -1/2 log |information| besides, and information falls as sigma², so its slope in log sigma is higher by the
 * freedom of the effects. One Newton step makes that good. Source: Laird and Ware (Biometrics 38, 1982), restricted likelihood.
 */
export function withLevelDraws<Draws extends PosteriorDraws>(
  draws: Draws,
  parts: LevelDrawParts,
): { readonly draws: Draws; readonly groupings: readonly GroupingDraws[] } {
  const { quadratic, peak, groupings, effects, freedom, covariance, seed } = parts;
  const { levelStart } = quadratic.places;
  const { normal } = seededRandom(seed);
  const coefficients = Float64Array.from(draws.coefficients);
  const width = coefficients.length / draws.draws;
  const restore = restoredSpread(covariance, width, freedom);
  const sampler = new PeakSampler(peak, quadratic.places, normal);
  const follow = followers(quadratic, width);
  const out = groupings.map((grouping) => ({
    grouping,
    sd: new Float64Array(draws.draws),
    effects: new Float32Array((grouping.levels.length + grouping.unknownLevels) * draws.draws),
  }));
  for (let d = 0; d < draws.draws; d++) {
    const drawn = sampler.next();
    const shift = follow(drawn.map((value, a) => value - (effects[a] ?? value)));
    for (let j = 0; j < width; j++) coefficients[d * width + j] += restore.coefficients[j] - shift[j];
    for (const { grouping, sd, effects: into } of out) {
      const { levels, unknownLevels } = grouping;
      const start = levelStart[grouping.grouping];
      for (let l = 0; l < levels.length; l++) into[l * draws.draws + d] = drawn[start + l];
      sd[d] = grouping.sd * Math.exp(grouping.logSdSe * normal());
      for (let l = 0; l < unknownLevels; l++) into[(levels.length + l) * draws.draws + d] = sd[d] * normal();
    }
  }
  return {
    draws: { ...draws, coefficients, scale: draws.scale.map((sigma) => sigma * restore.scale) },
    groupings: out.map(({ grouping: { name, levels, unknownLevels, ofSeal }, sd, effects: made }) => {
      return { name, levels, unknownLevels, ofSeal, sd, effects: made };
    }),
  };
}

/** A Newton step up a slope of `freedom` in log sigma: what it adds to the coefficients, and multiplies sigma by. */
function restoredSpread(covariance: Float64Array | null, width: number, freedom: number) {
  const size = covariance ? Math.round(Math.sqrt(covariance.length)) : 0;
  if (!covariance || size !== width + 1) return { coefficients: new Float64Array(width), scale: 1 };
  const along = covariance.subarray(width * size, (width + 1) * size);
  return {
    coefficients: Float64Array.from({ length: width }, (_, j) => freedom * along[j]),
    scale: Math.exp(freedom * along[width]),
  };
}

/** Draws from the normal posterior about a peak, in the order of its `at`. The array is used again. */
class PeakSampler {
  private readonly peak: LevelPeak;
  private readonly places: LevelPlaces;
  private readonly normal: () => number;
  private readonly inSystem: Float64Array;
  private readonly out: Float64Array;

  constructor(peak: LevelPeak, places: LevelPlaces, normal: () => number) {
    this.peak = peak;
    this.places = places;
    this.normal = normal;
    this.inSystem = new Float64Array(places.size);
    this.out = new Float64Array(places.size);
  }

  next(): Float64Array {
    const { inSystem, out, normal } = this;
    const { at, factor, system } = this.peak;
    const { levels, dense, coupling } = system;
    const rest = inSystem.subarray(levels);
    for (let j = 0; j < dense; j++) rest[j] = normal();
    // With S = L L' the information of the dense part, x = L'^-1 z has its covariance.
    for (let j = dense - 1; j >= 0; j--) {
      let sum = rest[j];
      for (let k = j + 1; k < dense; k++) sum -= factor.schur[k * dense + j] * rest[k];
      rest[j] = sum / factor.schur[j * dense + j];
    }
    for (let l = 0; l < levels; l++) {
      let sum = 0;
      for (let j = 0; j < dense; j++) sum += coupling[l * dense + j] * rest[j];
      inSystem[l] = normal() / Math.sqrt(factor.diagonal[l]) - sum / factor.diagonal[l];
    }
    const { place } = this.places;
    for (let a = 0; a < out.length; a++) out[a] = at[a] + inSystem[place[a]];
    return out;
  }
}

/** By how much the coefficients' mean falls as effects rise: A_bb^-1 A_bu times the rise. */
function followers({ system, places }: LevelQuadratic, width: number): (rise: Float64Array) => Float64Array {
  const { dense, coupling, block } = system;
  const { place, levelStart, eliminated } = places;
  const effects = levelStart[levelStart.length - 1];
  const first = dense - width;
  const factor = new Float64Array(width * width);
  for (let j = 0; j < width; j++)
    for (let k = 0; k <= j; k++) factor[j * width + k] = block[(first + j) * dense + first + k];
  if (!choleskyInPlace(factor, width)) throw new RangeError('The coefficients of the fit are not known well enough');
  const out = new Float64Array(width);
  return (rise) => {
    out.fill(0);
    for (let a = 0; a < effects; a++) {
      const at = place[a];
      for (let j = 0; j < width; j++) {
        const cross = at < eliminated ? coupling[at * dense + first + j] : block[(first + j) * dense + at - eliminated];
        out[j] += cross * rise[a];
      }
    }
    choleskySolveInPlace(factor, width, out);
    return out;
  };
}
