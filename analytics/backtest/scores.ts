import { seededRandom } from '../numeric/seeded-normals.ts';
import type { Trials } from './trial-table.ts';

/** A forecast surer than this is scored as if it were this sure: one certain error must not decide a comparison. */
export const SURENESS_FLOOR = 1e-4;

/** Means over trials; both are smallest in expectation for the true chances (proper scores). */
export interface Scores {
  readonly trials: number;
  /** -log of the chance given to what was found, in natural logs. */ readonly logScore: number;
  /** Squared difference of chance and outcome. */ readonly brier: number;
}

export function trialLogScore(chance: number, failed: number): number {
  const p = Math.min(1 - SURENESS_FLOOR, Math.max(SURENESS_FLOOR, chance));
  return -Math.log(failed ? p : 1 - p);
}

export const trialBrier = (chance: number, failed: number): number => (chance - failed) ** 2;

export function scoresOf({ count, failed }: Trials, chance: Float64Array): Scores | null {
  if (count === 0) return null;
  let [logScore, brier] = [0, 0];
  for (let i = 0; i < count; i++) {
    logScore += trialLogScore(chance[i], failed[i]);
    brier += trialBrier(chance[i], failed[i]);
  }
  return { trials: count, logScore: logScore / count, brier: brier / count };
}

/** Score of a simple method minus that of the model: above 0, the model was better. */
export interface ScoreGain {
  readonly mean: number;
  /** Central 80 % of a bootstrap over facilities; null with fewer than two. */ readonly lower: number | null;
  readonly upper: number | null;
}

export interface Comparison {
  readonly against: string;
  readonly logScore: ScoreGain;
  readonly brier: ScoreGain;
  /** Share of the simple method's log score that the model saves, 0 to 1; below 0, the model was worse. */
  readonly logSkill: number | null;
}

const RESAMPLES = 1000;

/**
 * Compares two forecasts of the same trials. Facilities are resampled whole, because seals of one facility share their
 * crew, weather and inspector, and their trials are not independent. The same seed gives the same interval.
 */
export function compareScores(
  trials: Trials,
  model: Float64Array,
  other: { readonly name: string; readonly chance: Float64Array },
  seed: number,
): Comparison | null {
  if (trials.count === 0) return null;
  const gainOf = (score: (chance: number, failed: number) => number): Float64Array =>
    Float64Array.from(model, (p, i) => score(other.chance[i], trials.failed[i]) - score(p, trials.failed[i]));
  const logScore = blockedMean(gainOf(trialLogScore), trials.facility, seed);
  const theirs = scoresOf(trials, other.chance)?.logScore ?? 0;
  return {
    against: other.name,
    logScore,
    brier: blockedMean(gainOf(trialBrier), trials.facility, seed),
    logSkill: theirs > 0 ? logScore.mean / theirs : null,
  };
}

function blockedMean(values: Float64Array, blockOf: Int32Array, seed: number): ScoreGain {
  const sums = new Map<number, { sum: number; count: number }>();
  values.forEach((value, i) => {
    const block = sums.get(blockOf[i]) ?? { sum: 0, count: 0 };
    block.sum += value;
    block.count++;
    sums.set(blockOf[i], block);
  });
  const blocks = [...sums.values()];
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  if (blocks.length < 2) return { mean, lower: null, upper: null };
  const { uniform } = seededRandom(seed);
  const means = Float64Array.from({ length: RESAMPLES }, () => {
    let [sum, count] = [0, 0];
    for (let k = 0; k < blocks.length; k++) {
      const block = blocks[Math.floor(uniform() * blocks.length)];
      sum += block.sum;
      count += block.count;
    }
    return sum / count;
  }).sort();
  return { mean, lower: means[Math.floor(0.1 * RESAMPLES)], upper: means[Math.ceil(0.9 * RESAMPLES) - 1] };
}
