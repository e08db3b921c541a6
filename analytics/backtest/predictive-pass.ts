import { seededRandom } from '../numeric/seeded-normals.ts';
import { eachLife, type TrialForecast } from './trial-forecast.ts';
import type { LifeTrials, Trials } from './trial-table.ts';

/** Trials sorted into cells: the finest groups that sums are kept for. */
export interface TrialCells {
  readonly count: number;
  /** Cell of each trial. */ readonly of: Int32Array;
}

/** What one pass over the lives of a forecast leaves behind. */
export interface PredictivePass {
  /** Predictive chance of each trial: the mean over draws. */ readonly chance: Float64Array;
  readonly draws: number;
  /** Row-major, cells x draws: expected number failing, and its variance given the draw. */
  readonly expected: Float64Array;
  readonly variance: Float64Array;
  /** The same of length, m and m². */ readonly expectedLengthM: Float64Array;
  readonly lengthVarianceM2: Float64Array;
  /** Row-major, cells x draws: length failing in one simulated course of events under each draw, m. */
  readonly simulatedLengthM: Float64Array;
  /** One for each life: predictive chance of having failed by the lower and upper bound of its outcome. */
  readonly failedByLower: Float64Array;
  readonly failedByUpper: Float64Array;
}

/** Lives between two reports of progress. */
const LIVES_A_STEP = 500;

/**
 * Runs through the lives once; memory grows with draws x cells, not with draws x trials.
 * @param onProgress called with the share of lives done, 0 to 1
 * @throws RangeError when a chance lies outside 0 to 1
 */
export function predictivePass(
  trials: Trials,
  forecast: TrialForecast,
  cells: TrialCells,
  seed: number,
  onProgress?: (shareDone: number) => void,
): PredictivePass {
  const { count } = trials;
  const { draws } = forecast;
  const lives = count === 0 ? 0 : trials.life[count - 1] + 1;
  const table = (): Float64Array => new Float64Array(draws * cells.count);
  const pass = {
    chance: new Float64Array(count),
    draws,
    expected: table(),
    variance: table(),
    expectedLengthM: table(),
    lengthVarianceM2: table(),
    simulatedLengthM: table(),
    failedByLower: new Float64Array(lives),
    failedByUpper: new Float64Array(lives),
  };
  const random = seededRandom(seed);
  let done = 0;
  eachLife(trials, forecast, (life, chances) => {
    checkChances(chances, life, forecast.name);
    addCells(pass, trials, cells, life, chances, random.uniform);
    addLife(pass, trials, life, chances);
    if (++done % LIVES_A_STEP === 0) onProgress?.(done / lives);
  });
  for (const sums of [pass.chance, pass.failedByLower, pass.failedByUpper])
    for (let i = 0; i < sums.length; i++) sums[i] /= draws;
  return pass;
}

function checkChances(chances: Float64Array, { first, end }: LifeTrials, name: string): void {
  for (let k = 0; k < chances.length; k++)
    if (!(chances[k] >= 0 && chances[k] <= 1))
      throw new RangeError(
        `Chance of trial ${first + (k % (end - first)) + 1} by ${name} is ${chances[k]}; expected 0 to 1`,
      );
}

function addCells(
  pass: PredictivePass,
  { lengthM }: Trials,
  cells: TrialCells,
  { first, end }: LifeTrials,
  chances: Float64Array,
  uniform: () => number,
): void {
  const { chance, draws, expected, variance, expectedLengthM, lengthVarianceM2, simulatedLengthM } = pass;
  const size = end - first;
  for (let i = first; i < end; i++) {
    const length = lengthM[i];
    let at = cells.of[i] * draws;
    for (let k = i - first; k < chances.length; k += size, at++) {
      const p = chances[k];
      const spread = p * (1 - p);
      chance[i] += p;
      expected[at] += p;
      variance[at] += spread;
      expectedLengthM[at] += length * p;
      lengthVarianceM2[at] += length * length * spread;
      if (uniform() < p) simulatedLengthM[at] += length;
    }
  }
}

/** Chances of surviving multiply along a life; the last trial bounds its failure, or leaves it open. */
function addLife(
  { failedByLower, failedByUpper, draws }: PredictivePass,
  { life, failed }: Trials,
  { first, end }: LifeTrials,
  chances: Float64Array,
): void {
  const size = end - first;
  const at = life[first];
  const foundFailed = failed[end - 1];
  for (let d = 0; d < draws; d++) {
    let [before, sound] = [1, 1];
    for (let k = 0; k < size; k++) {
      before = sound;
      sound *= 1 - chances[d * size + k];
    }
    failedByLower[at] += foundFailed ? 1 - before : 1 - sound;
    failedByUpper[at] += foundFailed ? 1 - sound : 1;
  }
}
