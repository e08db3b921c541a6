import { CheapestWorks } from './cheapest-works.ts';
import { greedyPlan } from './greedy-plan.ts';
import { planFromWorks } from './plan-index.ts';
import type { ProgramPlan, ProgramProblem } from './program-problem.ts';
import { failedChance } from './segment-cost.ts';

/** The four plans that every program is held against, under the same problem. */
export const BASELINES = ['nothing', 'worst-first', 'fixed-cycle', 'all-needs-met'] as const;
export type Baseline = (typeof BASELINES)[number];

/** No work but what is settled. */
export const nothingPlan = (problem: ProgramProblem): ProgramPlan => greedyPlan(problem, () => null);

/** Assumed, not published: a joint is up for work once it has more likely failed than not. */
export const WORST_FIRST_CHANCE = 0.5;

/**
 * Each year the greatest expected failed length first, chance of having failed by the year's end times length, until the
 * year's upper bounds are used.
 * @param leastChance of having failed, below which a joint is not up for work
 */
export const worstFirstPlan = (problem: ProgramProblem, leastChance = WORST_FIRST_CHANCE): ProgramPlan =>
  greedyPlan(problem, (i, year, last) => {
    const chance = failedChance(problem, i, year, last);
    return chance >= leastChance ? chance * problem.lengthM[i] : null;
  });

/**
 * Years between reseals of the policy drawn from Utah's sections: 10 years for silicone and others alike. Source: Biel and
 * Lee, Journal of Transportation Engineering 123(5), 1997.
 */
export const PUBLISHED_CYCLE_YEARS = 10;

export interface FixedCycle {
  /** Whole years between reseals, one for each class, 1 or more. */ readonly cycleYears: readonly number[];
  /** Class in place of each segment; -1: not among the classes, so the published cycle holds. */
  readonly classInPlace: Int32Array;
  /** Age at the end of the planning year, years. */ readonly ageYears: Float64Array;
}

/** Each seal resealed when its age reaches its class's cycle; the longest overdue go first where bounds leave too little room. */
export const fixedCyclePlan = (
  problem: ProgramProblem,
  { cycleYears, classInPlace, ageYears }: FixedCycle,
): ProgramPlan =>
  greedyPlan(problem, (i, year, last) => {
    const cycle = cycleYears[last ? last.sealantClass : classInPlace[i]] ?? PUBLISHED_CYCLE_YEARS;
    const age = last ? year - last.year : ageYears[i] + year;
    return age >= cycle ? age - cycle : null;
  });

/** Each segment at its cheapest years as if nothing were limited and every trip were paid for. */
export function allNeedsMetPlan(problem: ProgramProblem): ProgramPlan {
  const cheapest = new CheapestWorks(problem);
  return planFromWorks(Array.from({ length: problem.count }, (_, i) => cheapest.of(i)));
}
