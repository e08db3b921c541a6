import type { FirstFailures } from '../forecast/first-failures.ts';
import type { NewLifeDraws } from '../forecast/new-life-draws.ts';
import { type LastSeen, ShockedFailures, unseenYears, type YearShocks } from '../forecast/year-shocks.ts';
import { keyedSequence, keyedUniform } from '../numeric/keyed-uniform.ts';

/**
 * The lives that every plan is tried on. A draw holds one set of the model's parameters for all segments, and within it each
 * seal has its own luck, which belongs to the segment and to how many times it was resealed: not to the plan, nor to the
 * order of segments. Differences between plans are then differences of plans.
 */
export interface ProgramSample {
  readonly draws: number;
  readonly seed: number;
  /** A whole number for each segment that is the same in every scenario, see `keyOfName`. */ readonly keys: Int32Array;
  /** Row-major, segments x draws: year in which the seal in place fails; `LASTS` if not in the years asked for. */
  readonly firstFailureYear: Uint8Array;
  /** Lives of new seals, curves numbered as in the problem's types. */ readonly newLives: NewLifeDraws;
}

export const LASTS = 255;

export interface FirstFailureInput {
  readonly keys: Int32Array;
  /** 1: known to have failed. One entry for each segment. */ readonly knownFailed: Uint8Array;
  readonly draws: number;
  /** Years to look ahead: no more than the forecast has year ends. */ readonly years: number;
  readonly seed: number;
  /** Years that are hard or easy on all seals alike; left out or null: all years are average. */
  readonly shared?: { readonly shocks: YearShocks; readonly lastSeen: LastSeen; readonly yearLeft: number } | null;
}

/**
 * Year of first failure of every segment in every draw: the long part of trying plans out, and the same for all of them.
 * @param onProgress called with the share done, 0 to 1, every 1,000 segments
 * @returns as in `ProgramSample`
 */
export function drawFirstFailures(
  { keys, knownFailed, draws, years, seed, shared }: FirstFailureInput,
  firstFailures: FirstFailures,
  onProgress?: (shareDone: number) => void,
): Uint8Array {
  if (!(years <= 40)) throw new RangeError(`years is ${years}; expected 40 or fewer`);
  const out = new Uint8Array(keys.length * draws);
  const shocked = shared ? new ShockedFailures(shared.shocks) : null;
  for (let i = 0; i < keys.length; i++) {
    if (onProgress && i % 1000 === 999) onProgress((i + 1) / keys.length);
    if (knownFailed[i] === 1) continue;
    const sequence = keyedSequence(seed, keys[i], 0);
    if (shared) shocked?.turnTo(unseenYears(shared.lastSeen, i) + shared.yearLeft);
    firstFailures.eachDraw(i, (d, _eta, failed, share, from) => {
      const luck = keyedUniform(sequence, d);
      const year = shocked
        ? shocked.yearOf(luck, d, failed, share, from, years)
        : yearOfLuck(luck, failed, share, from, years);
      out[i * draws + d] = year < years ? year : LASTS;
    });
  }
  return out;
}

function yearOfLuck(luck: number, failed: Float64Array, share: number, from: number, years: number): number {
  let year = 0;
  while (year < years && failed[from + year] * share <= luck) year++;
  return year;
}

/** The sample of some of the segments; `members`: their places among all. */
export function sampleOf(sample: ProgramSample, members: readonly number[]): ProgramSample {
  const { draws, keys, firstFailureYear } = sample;
  const kept = new Uint8Array(members.length * draws);
  for (const [at, i] of members.entries()) kept.set(firstFailureYear.subarray(i * draws, (i + 1) * draws), at * draws);
  return { ...sample, keys: Int32Array.from(members, (i) => keys[i]), firstFailureYear: kept };
}
