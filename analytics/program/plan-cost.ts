import { indexPlan, worksOf } from './plan-index.ts';
import type { LimitUse } from './program-outcome.ts';
import type { ProgramPlan, ProgramProblem } from './program-problem.ts';
import { segmentCost } from './segment-cost.ts';

/** Expected costs of a plan, valued in year 0. */
export interface PlanCost {
  readonly work: number;
  readonly mobilisation: number;
  readonly open: number;
  readonly after: number;
  /** What the problem asks to be least. */ readonly objective: number;
}

export function planCost(problem: ProgramProblem, plan: ProgramPlan): PlanCost {
  const { count, years, facilities, discountRatePerYear } = problem;
  const index = indexPlan(plan, count);
  let [work, open, after, mobilisation] = [0, 0, 0, 0];
  for (let i = 0; i < count; i++) {
    const cost = segmentCost(problem, i, worksOf(index, i));
    work += cost.work;
    open += cost.open;
    after += cost.after;
  }
  facilityYearLengths(problem, plan).forEach((lengthM, at) => {
    if (lengthM > 0)
      mobilisation += facilities.mobilisationCost[Math.floor(at / years)] * (1 + discountRatePerYear) ** -(at % years);
  });
  const spending = work + mobilisation;
  const objective = problem.objective === 'least-cost' ? spending + open + after : spending;
  return { work, mobilisation, open, after, objective };
}

/** Length worked, m: row-major, facilities x years. */
export function facilityYearLengths(problem: ProgramProblem, plan: ProgramPlan): Float64Array {
  const { years, facilities, facility, lengthM } = problem;
  const lengths = new Float64Array(facilities.count * years);
  for (const [at, i] of plan.segment.entries()) lengths[facility[i] * years + plan.year[at]] += lengthM[i];
  return lengths;
}

/** Use of each limit; small sums of rounding do not count as missing it. */
export function limitUses(problem: ProgramProblem, plan: ProgramPlan): LimitUse[] {
  const spent = districtYearUse(problem, plan);
  return problem.limits.map(({ of, year, district, atMost, atLeast }, row) => {
    const used = spent.reduce(
      (sum, use) => (use.year === year && (district === null || use.district === district) ? sum + use[of] : sum),
      0,
    );
    const [over, under] = [used - (atMost ?? Number.POSITIVE_INFINITY), (atLeast ?? 0) - used];
    const missed = Math.max(over, under, 0);
    const usedShare = atMost === null || atMost === 0 ? null : used / atMost;
    return { row, used, usedShare, missedBy: missed > 1e-9 * Math.max(used, 1) ? missed : 0 };
  });
}

interface DistrictYearUse {
  readonly district: number;
  readonly year: number;
  money: number;
  length: number;
}

function districtYearUse(problem: ProgramProblem, plan: ProgramPlan): DistrictYearUse[] {
  const { years, types, type, lengthM, facilities } = problem;
  const uses = new Map<number, DistrictYearUse>();
  const rowOf = (district: number, year: number): DistrictYearUse => {
    const key = district * years + year;
    const use = uses.get(key) ?? { district, year, money: 0, length: 0 };
    uses.set(key, use);
    return use;
  };
  for (const [at, i] of plan.segment.entries()) {
    const use = rowOf(problem.district[i], plan.year[at]);
    use.length += lengthM[i];
    use.money += lengthM[i] * types.pricePerM[type[i] * types.classes + plan.sealantClass[at]];
  }
  facilityYearLengths(problem, plan).forEach((length, at) => {
    const facility = Math.floor(at / years);
    if (length > 0) rowOf(facilities.district[facility], at % years).money += facilities.mobilisationCost[facility];
  });
  return [...uses.values()];
}
