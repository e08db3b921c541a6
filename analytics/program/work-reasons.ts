import { discountFactor } from '../forecast/life-cycle.ts';
import { CheapestWorks } from './cheapest-works.ts';
import { facilityYearLengths } from './plan-cost.ts';
import { indexPlan, worksOf } from './plan-index.ts';
import type { PlannedWork } from './program-comparison.ts';
import { type ProgramPlan, type ProgramProblem, WORK } from './program-problem.ts';
import { failedChance, segmentCost, totalOf } from './segment-cost.ts';
import type { WorkReason } from './work-reason.ts';

/**
 * The numbers behind every work of a plan, ordered by segment, then year.
 * @param onProgress called with the share done, 0 to 1, every 1,000 segments
 */
export function workReasons(
  problem: ProgramProblem,
  plan: ProgramPlan,
  onProgress?: (shareDone: number) => void,
): WorkReason[] {
  const index = indexPlan(plan, problem.count);
  const shared = { problem, jobs: facilityJobs(problem, plan), cheapest: new CheapestWorks(problem) };
  const reasons: WorkReason[] = [];
  for (let i = 0; i < problem.count; i++) {
    const works = worksOf(index, i);
    for (const at of works.keys()) reasons.push(workReason(shared, { i, works, at }));
    if (onProgress && i % 1000 === 999) onProgress((i + 1) / problem.count);
  }
  return reasons;
}

interface FacilityJobs {
  /** Row-major, facilities x years: m worked. */ readonly lengthM: Float64Array;
  readonly works: Int32Array;
}

function facilityJobs(problem: ProgramProblem, plan: ProgramPlan): FacilityJobs {
  const lengthM = facilityYearLengths(problem, plan);
  const works = new Int32Array(lengthM.length);
  for (const [at, i] of plan.segment.entries()) works[problem.facility[i] * problem.years + plan.year[at]]++;
  return { lengthM, works };
}

interface WorkOfSegment {
  readonly i: number;
  /** All works of the segment. */ readonly works: readonly PlannedWork[];
  /** Which of them. */ readonly at: number;
}

interface SharedByReasons {
  readonly problem: ProgramProblem;
  readonly jobs: FacilityJobs;
  readonly cheapest: CheapestWorks;
}

function workReason({ problem, jobs, cheapest }: SharedByReasons, work: WorkOfSegment): WorkReason {
  const { i, works, at } = work;
  const { year, sealantClass } = works[at];
  const job = problem.facility[i] * problem.years + year;
  const saved = savings(problem, work);
  const reason = {
    ...{ segment: i, year, sealantClass },
    failedChance: failedChance(problem, i, year, works[at - 1] ?? null),
    ...saved,
    neighbours: jobs.works[job] - 1,
    mobilisationCost: problem.facilities.mobilisationCost[problem.facility[i]],
    cheapestYear: at === 0 ? (cheapest.of(i)[0]?.year ?? null) : null,
  };
  return { ...reason, because: becauseOf(problem, reason, jobs.lengthM[job]) };
}

/** Costs of the segment without the work, or with it a year later, less its cost as planned. */
function savings(problem: ProgramProblem, { i, works, at }: WorkOfSegment) {
  const costOf = (list: readonly PlannedWork[]) => totalOf(segmentCost(problem, i, list));
  const planned = costOf(works);
  const later = { ...works[at], year: works[at].year + 1 };
  const end = Math.min(problem.years, problem.goneFromYear[i], works[at + 1]?.year ?? problem.years);
  const waited = works.map((work, k) => (k === at ? later : work));
  return {
    savedAgainstWaiting: later.year < end ? costOf(waited) - planned : null,
    savedAgainstNever: costOf(works.filter((_, k) => k !== at)) - planned,
  };
}

function becauseOf(problem: ProgramProblem, reason: Omit<WorkReason, 'because'>, jobM: number): WorkReason['because'] {
  const { segment, year, savedAgainstWaiting, savedAgainstNever, neighbours, mobilisationCost } = reason;
  if (problem.work[segment * problem.years + year] === WORK.required) return 'committed';
  const saved = savedAgainstWaiting ?? savedAgainstNever;
  if (saved >= 0) return 'worth-it';
  if (neighbours > 0 && jobM - problem.lengthM[segment] < problem.minimumJobM) return 'least-job';
  const ownTrip = mobilisationCost * discountFactor(problem.discountRatePerYear, year);
  return neighbours > 0 && ownTrip + saved >= 0 ? 'shared-closure' : 'limits';
}
