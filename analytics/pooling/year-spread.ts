import { evenChances } from '../numeric/even-chances.ts';
import { seededRandom } from '../numeric/seeded-normals.ts';
import { LEAST_GAIN } from './pooled-levels.ts';
import { type YearEffect, yearEffects, yearModes } from './year-effects.ts';
import type { YearHazards } from './year-hazards.ts';

/** What calendar years did to all seals alike, and how much they differ. */
export interface YearSpread {
  /** Years and failures were enough to tell; else the spread below is what is believed before any data. */
  readonly told: boolean;
  /** Twice the gain in log marginal likelihood from letting years differ, at its best; 0 where too little is on record. */
  readonly gain: number;
  /** They differ beyond chance. */ readonly beyondChance: boolean;
  readonly failures: number;
  /**
   * SD of the log of a year's multiplier of the hazard, in increasing order, and how likely each is: likelihood times prior.
   */
  readonly sds: Float64Array;
  readonly chances: Float64Array;
  /** Years with failures expected, in order; effects are drawn in to 0 where little is expected. */
  readonly years: readonly YearEffect[];
}

/** Fewer years or failures than these cannot tell good years from bad ones. */
export const LEAST_YEARS = 5;
export const LEAST_YEAR_FAILURES = 20;
/**
 * Before any data the SD is half-normal with this scale: as likely as not below 0.2, that is two years in three within a factor
 * of 1.22 of the average, and for one network in twenty a factor above 1.8. An assumption without a source: winters
 * differ by more than that, but seals of many ages and places share only part of it.
 */
export const PRIOR_SD_SCALE = 0.3;
const LEAST_SD = 0.003;
const LARGEST_SD = 1.2;
const SD_STEPS = 28;

/**
 * How much calendar years differ: every seal's hazard in year t is exp(a + v_t) times that of the fit, v_t N(0, sd²), with a
 * level a that takes up what the fit has too much or too little. The likelihood is that of the rows' own bounds, so a failure
 * found at a look may lie in any year since the last. The posterior of sd is Laplace's marginal likelihood times the prior, on
 * a fine grid.
 */
export function yearSpread(hazards: YearHazards): YearSpread {
  const failures = hazards.weight.reduce((sum, weight) => sum + weight, 0);
  const modes = yearModes(hazards);
  const average = yearEffects(hazards, null);
  const sds = Float64Array.from(
    { length: SD_STEPS + 1 },
    (_, k) => LEAST_SD * (LARGEST_SD / LEAST_SD) ** (k / SD_STEPS),
  );
  if (average.length < LEAST_YEARS || failures < LEAST_YEAR_FAILURES)
    return {
      ...{ told: false, gain: 0, beyondChance: false, failures, years: average },
      ...{ sds, chances: chancesOf(sds, new Float64Array(sds.length)) },
    };
  const found = Array.from(sds, modes.at);
  const values = Float64Array.from(found, ({ value }) => value);
  const chances = chancesOf(sds, values);
  const best = values.indexOf(Math.max(...values));
  const gain = Math.max(0, 2 * (values[best] - values[0]));
  const likeliest = chances.indexOf(Math.max(...chances));
  const years = yearEffects(hazards, found[likeliest]);
  return { told: true, gain, beyondChance: gain >= LEAST_GAIN, failures, sds, chances, years };
}

/** Likelihood times the half-normal prior; the grid is even in log sd, hence one factor of sd. */
function chancesOf(sds: Float64Array, values: Float64Array): Float64Array {
  const logs = sds.map((sd, k) => values[k] + Math.log(sd) - 0.5 * (sd / PRIOR_SD_SCALE) ** 2);
  const most = Math.max(...logs);
  const weights = logs.map((log) => Math.exp(log - most));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return weights.map((weight) => weight / total);
}

/** SD below which it lies with a chance of `share`: straight lines in log sd between the middles of the grid's cells. */
export function spreadQuantile({ sds, chances }: Pick<YearSpread, 'sds' | 'chances'>, share: number): number {
  let below = 0;
  for (let k = 0; k < sds.length; k++) {
    if (below + chances[k] < share && k < sds.length - 1) {
      below += chances[k];
      continue;
    }
    const within = chances[k] > 0 ? (share - below) / chances[k] : 0.5;
    return sds[k] * (sds[1] / sds[0]) ** (Math.min(1, Math.max(0, within)) - 0.5);
  }
  return sds[sds.length - 1];
}

/** The SD under each of so many draws: evenly over its posterior, in an order of their own. */
export function spreadDraws(
  spread: Pick<YearSpread, 'sds' | 'chances'>,
  { draws, seed }: { readonly draws: number; readonly seed: number },
): Float64Array {
  return evenChances(draws, seededRandom(seed)).map((share) => spreadQuantile(spread, share));
}
