import type { ProgramPlan, ProgramProblem } from '../program-problem.ts';
import { leastJobs } from './least-jobs.ts';
import { discountFactors } from './path-tables.ts';
import { emptyUsage, type RowSet, rowUsageInto, type Usage } from './row-set.ts';

/** What a plan comes to under the accounting of `ProgramProblem`. */
export interface PlanFigures {
  readonly objective: number;
  /** What each row is used, in money's worth and with its sign. */ readonly used: Float64Array;
  /** How far each row is over, 0 where it is kept. */ readonly over: Float64Array;
  /** Sum of `over`, each as a share of its bound or of one mean reseal, and of what jobs lack of the least. */
  readonly missed: number;
}

/** Plain reckoning of a whole plan, the same for every method. */
export function planFigures(problem: ProgramProblem, rows: RowSet, plan: ProgramPlan): PlanFigures {
  const usage = emptyUsage(rows.cells);
  const objective = walk(problem, rows, plan, usage);
  const used = new Float64Array(rows.count);
  rowUsageInto(used, rows, usage);
  const over = used.map((u, r) => (u > rows.most[r] + rows.tolerance[r] ? u - rows.most[r] : 0));
  const missed = over.reduce((sum, o, r) => sum + (1e-6 * o) / rows.tolerance[r], lackingJobs(problem, plan));
  return { objective, used, over, missed };
}

function walk(problem: ProgramProblem, rows: RowSet, plan: ProgramPlan, usage: Usage): number {
  const { years, count, facilities, facility, district, lengthM, types, type } = problem;
  const discount = discountFactors(problem.discountRatePerYear, years);
  const risk = problem.objective === 'least-cost';
  const open = new Uint8Array(facilities.count * years);
  let objective = 0;
  let work = 0;
  for (let i = 0; i < count; i++) {
    const from = work;
    while (work < plan.segment.length && plan.segment[work] === i) {
      const [t, k] = [plan.year[work], type[i] * types.classes + plan.sealantClass[work]];
      const cost = types.pricePerM[k] * lengthM[i];
      objective += cost * discount[t];
      usage.money[district[i] * years + t] += cost;
      usage.length[district[i] * years + t] += lengthM[i];
      open[facility[i] * years + t] = 1;
      work++;
    }
    objective += riskOf(problem, rows, { plan, from, to: work }, { i, discount, risk, usage });
  }
  for (let f = 0; f < facilities.count; f++) {
    for (let t = 0; t < years; t++) {
      if (open[f * years + t] === 0) continue;
      objective += facilities.mobilisationCost[f] * discount[t];
      usage.money[facilities.district[f] * years + t] += facilities.mobilisationCost[f];
    }
  }
  return objective;
}

interface Walked {
  readonly i: number;
  readonly discount: Float64Array;
  readonly risk: boolean;
  readonly usage: Usage;
}

/** Open and final cost of one segment; adds its failed length by year. */
function riskOf(
  problem: ProgramProblem,
  rows: RowSet,
  { plan, from, to }: { plan: ProgramPlan; from: number; to: number },
  { i, discount, risk, usage }: Walked,
): number {
  const { years, types, lengthM, type } = problem;
  const end = Math.min(years, problem.goneFromYear[i]);
  const cell = (problem.district[i] * rows.cells.kinds + problem.facilityKind[i]) * years;
  let cost = 0;
  let at = from;
  for (let t = 0; t < end; t++) {
    while (at < to && plan.year[at] <= t) at++;
    const failed = at === from ? problem.failedByYearEnd[i * years + t] : failedAt(problem, i, plan, at - 1, t);
    usage.failed[cell + t] += failed * lengthM[i];
    cost += failed * types.openCostPerMYear[type[i]] * discount[t];
  }
  if (!risk) return 0;
  if (end < years) return cost * lengthM[i];
  if (to === from) return (cost + problem.finalCostIfNeverPerM[i]) * lengthM[i];
  const k = type[i] * types.classes + plan.sealantClass[to - 1];
  const age = years - 1 - plan.year[to - 1];
  return (cost + types.finalCostPerM[k * (years + 1) + age] * discount[years - 1]) * lengthM[i];
}

/** Chance that the seal of work `w` has failed by the end of year t. */
function failedAt({ types, type }: ProgramProblem, i: number, plan: ProgramPlan, w: number, t: number): number {
  const curve = types.curve[type[i] * types.classes + plan.sealantClass[w]];
  return types.failedByAge[curve * (types.oldestAge + 1) + Math.min(t - plan.year[w], types.oldestAge)];
}

/** What jobs lack of the least length, each as a share of it. */
function lackingJobs(problem: ProgramProblem, plan: ProgramPlan): number {
  if (!(problem.minimumJobM > 0)) return 0;
  const least = leastJobs(problem);
  const held = new Float64Array(least.length);
  plan.segment.forEach((i, w) => {
    held[problem.facility[i] * problem.years + plan.year[w]] += problem.lengthM[i];
  });
  return held.reduce((sum, m, at) => sum + (m > 0 && m < least[at] * (1 - 1e-9) ? 1 - m / least[at] : 0), 0);
}

/** A plan from a list of works in any order. */
export function planOf(works: readonly { segment: number; year: number; sealantClass: number }[]): ProgramPlan {
  const sorted = [...works].sort((a, b) => a.segment - b.segment || a.year - b.year);
  return {
    segment: Int32Array.from(sorted, (work) => work.segment),
    year: Int32Array.from(sorted, (work) => work.year),
    sealantClass: Int32Array.from(sorted, (work) => work.sealantClass),
  };
}
