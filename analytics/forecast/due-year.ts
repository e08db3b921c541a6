import type { NewLives } from './new-lives.ts';
import { resealCycle, SMALLEST_RATE } from './reseal-cycle.ts';

export interface DueYearInput {
  readonly count: number;
  /** Row-major, count x yearEnds: chance of having failed by the end of the planning year and each later year. */
  readonly failedByYearEnd: Float64Array;
  readonly yearEnds: number;
  /** Life after resealing. */ readonly newLives: NewLives;
  /** Price of resealing one metre; NaN where there is none. */ readonly resealCostPerM: Float64Array;
  /** Cost of a year with one metre failed and open, consequence weight included; 0 or more. */
  readonly openCostPerMYear: Float64Array;
  /** Real rate: prices are taken as constant money. */ readonly discountRatePerYear: number;
}

export interface DueYears {
  /** Years after the planning year in which resealing is cheapest; -1: not within the horizon, or no price. */
  readonly offset: Int16Array;
  /** Chance of having failed from which resealing is cheaper than a year's wait; above 1: never. NaN: no price. */
  readonly triggerChance: Float64Array;
  /** What paying a year later saves, per metre: interest on this reseal and on all that follow it. NaN: no price. */
  readonly savedByWaitingPerM: Float64Array;
}

/**
 * The year in which resealing each segment is cheapest in the long run.
 *
 * Waiting until year T costs, per metre and discounted by v a year,
 *
 *     sum over t < T of  open F(t) v^t   +   (price + K) v^T
 *
 * with F(t) the chance of having failed by the end of year t and K the cost of all later reseals, each made at its own best
 * age. One more year of waiting changes that by v^T (open F(T) - (price + K)(1 - v)). F never falls, so the sum is least in
 * the first year in which F reaches (price + K)(1 - v) / open: the trigger. F averages over the draws, so it is the expected
 * cost that is least, not the cost of a best guess.
 */
export function dueYears(input: DueYearInput): DueYears {
  const { count, yearEnds, failedByYearEnd, resealCostPerM, openCostPerMYear, newLives } = input;
  const rate = Math.max(input.discountRatePerYear, SMALLEST_RATE);
  const offset = new Int16Array(count).fill(-1);
  const triggerChance = new Float64Array(count).fill(Number.NaN);
  const savedByWaitingPerM = new Float64Array(count).fill(Number.NaN);
  for (let i = 0; i < count; i++) {
    const price = resealCostPerM[i];
    if (!(price > 0)) continue;
    const open = openCostPerMYear[i];
    const costs = { pricePerM: price, openCostPerMYear: open, ratePerYear: rate };
    const saved = (resealCycle(newLives, newLives.curve[i], costs).costPerM * rate) / (1 + rate);
    savedByWaitingPerM[i] = saved;
    triggerChance[i] = open > 0 ? saved / open : Number.POSITIVE_INFINITY;
    for (let t = 0; t < yearEnds; t++)
      if (failedByYearEnd[i * yearEnds + t] >= triggerChance[i]) {
        offset[i] = t;
        break;
      }
  }
  return { offset, triggerChance, savedByWaitingPerM };
}

export interface DueReason {
  readonly planningYear: number;
  /** As in `DueYears`, of one segment. */ readonly offset: number;
  readonly triggerChance: number;
  /** Chance of having failed by each year end. */ readonly failedByYearEnd: ArrayLike<number>;
  readonly knownFailed: boolean;
}

/** Why that year, or why none, in a sentence or two. Shares and ratios only, so that it reads the same in any unit. */
export function dueReason(reason: DueReason): string {
  const { planningYear, offset, triggerChance, failedByYearEnd, knownFailed } = reason;
  const percent = (share: number) => `${(100 * share).toFixed(0)} %`;
  if (Number.isNaN(triggerChance)) return 'No unit price for its sealant class, so no cheapest year can be named.';
  if (triggerChance === Number.POSITIVE_INFINITY) return 'An open joint is set to cost nothing: not due on cost alone.';
  if (triggerChance > 1)
    return `Putting the resealing off by a year saves ${times(triggerChance)} what a year with the joint open costs: not due on cost alone.`;
  const last = failedByYearEnd.length - 1;
  if (offset < 0)
    return `Chance of having failed is still ${percent(failedByYearEnd[last])} at the end of ${planningYear + last}; resealing pays from ${percent(triggerChance)}.`;
  const why = `a year with the joint open costs ${times(1 / triggerChance)} what a year's wait saves`;
  if (knownFailed) return `Its last inspection found it failed: ${why}.`;
  return `Chance of having failed reaches ${percent(failedByYearEnd[offset])} by the end of ${planningYear + offset}; resealing pays from ${percent(triggerChance)}, since ${why}.`;
}

const times = (ratio: number): string => `${ratio < 10 ? ratio.toFixed(1) : ratio.toFixed(0)} times`;
