import { seededRandom } from '../numeric/seeded-normals.ts';
import type { TrialForecast } from './trial-forecast.ts';
import type { Trials } from './trial-table.ts';

/** Trials sorted into cells: the finest groups that sums are kept for. */
export interface TrialCells {
  readonly count: number;
  /** Cell of each trial. */ readonly of: Int32Array;
}

/** What one pass over the draws of a forecast leaves behind. */
export interface PredictivePass {
  /** Predictive chance of each trial: the mean over draws. */ readonly chance: Float64Array;
  readonly draws: number;
  /** Row-major, draws x cells: expected number failing, and its variance given the draw. */
  readonly expected: Float64Array;
  readonly variance: Float64Array;
  /** The same of length, m and m². */ readonly expectedLengthM: Float64Array;
  readonly lengthVarianceM2: Float64Array;
  /** Row-major, draws x cells: length failing in one simulated course of events under each draw, m. */
  readonly simulatedLengthM: Float64Array;
  /** One for each life: predictive chance of having failed by the lower and upper bound of its outcome. */
  readonly failedByLower: Float64Array;
  readonly failedByUpper: Float64Array;
}

/** Runs through the draws once; memory grows with draws x cells, not with draws x trials. */
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
  const chances = new Float64Array(count);
  const random = seededRandom(seed);
  for (let d = 0; d < draws; d++) {
    forecast.chancesInto(d, chances);
    checkChances(chances, forecast.name);
    addCells(pass, trials, cells, chances, d, random.uniform);
    addLives(pass, trials, chances);
    for (let i = 0; i < count; i++) pass.chance[i] += chances[i];
    onProgress?.((d + 1) / draws);
  }
  for (const sums of [pass.chance, pass.failedByLower, pass.failedByUpper])
    for (let i = 0; i < sums.length; i++) sums[i] /= draws;
  return pass;
}

function checkChances(chances: Float64Array, name: string): void {
  for (let i = 0; i < chances.length; i++)
    if (!(chances[i] >= 0 && chances[i] <= 1))
      throw new RangeError(`Chance of trial ${i + 1} by ${name} is ${chances[i]}; expected 0 to 1`);
}

function addCells(
  pass: PredictivePass,
  { count, lengthM }: Trials,
  cells: TrialCells,
  chances: Float64Array,
  draw: number,
  uniform: () => number,
): void {
  const { expected, variance, expectedLengthM, lengthVarianceM2, simulatedLengthM } = pass;
  const first = draw * cells.count;
  for (let i = 0; i < count; i++) {
    const p = chances[i];
    const at = first + cells.of[i];
    const length = lengthM[i];
    const spread = p * (1 - p);
    expected[at] += p;
    variance[at] += spread;
    expectedLengthM[at] += length * p;
    lengthVarianceM2[at] += length * length * spread;
    if (uniform() < p) simulatedLengthM[at] += length;
  }
}

/** Chances of surviving multiply along a life; the last trial bounds its failure, or leaves it open. */
function addLives({ failedByLower, failedByUpper }: PredictivePass, trials: Trials, chances: Float64Array): void {
  const { count, life, failed } = trials;
  let sound = 1;
  for (let i = 0; i < count; i++) {
    if (i > 0 && life[i] !== life[i - 1]) sound = 1;
    const before = sound;
    sound *= 1 - chances[i];
    if (i + 1 < count && life[i + 1] === life[i]) continue;
    failedByLower[life[i]] += failed[i] ? 1 - before : 1 - sound;
    failedByUpper[life[i]] += failed[i] ? 1 - sound : 1;
  }
}
