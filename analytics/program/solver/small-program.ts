import type { ProgramPlan, ProgramProblem, SolveOptions } from '../program-problem.ts';
import { exactSolve } from './exact-solve.ts';
import { type PlanFigures, planFigures } from './plan-figures.ts';
import type { RowSet } from './row-set.ts';

/** So many columns of reseals at most are solved to the optimum by the general solver. */
const SMALL_COLUMNS = 1500;
/** Up to so many it may look for a plan where the decomposition found none. */
const MODEST_COLUMNS = 20_000;
/** Branches, so that it ends. */
const NODES = 3000;
const GAP_SHARE = 1e-6;

export interface SmallAnswer {
  readonly plan: ProgramPlan | null;
  readonly bound: number;
  /** No plan keeps the rows; `plan` is then the nearest. */ readonly infeasible: boolean;
  /** Whether optimum or infeasibility is proven. */ readonly proven: boolean;
}

const columnsOf = ({ count, years, types }: ProgramProblem): number =>
  (count * types.classes * years * (years + 1)) / 2;

export const isSmall = (problem: ProgramProblem): boolean => columnsOf(problem) <= SMALL_COLUMNS;
export const isModest = (problem: ProgramProblem): boolean => columnsOf(problem) <= MODEST_COLUMNS;

/**
 * Optimum of a small program; where there is none, the plan that misses least, and of those the cheapest.
 * @param known figures of the best plan so far
 */
export async function solveSmall(
  problem: ProgramProblem,
  rows: RowSet,
  known: PlanFigures,
  options: SolveOptions,
): Promise<SmallAnswer> {
  const search = { elastic: false, most: rows.most, nodes: NODES, gapShare: GAP_SHARE, cancelled: options.cancelled };
  const progress = (bound: number, found: number | null): void => {
    const incumbent = known.missed > 0 ? found : Math.min(known.objective, found ?? Number.POSITIVE_INFINITY);
    options.progress?.({ shareDone: 0.99, bound, incumbent });
  };
  const first = await exactSolve(problem, rows, { ...search, progress });
  if (!first.infeasible) return first;
  const nearest = await exactSolve(problem, rows, { ...search, elastic: true });
  if (nearest.plan === null) return { ...first, plan: null };
  const { used } = planFigures(problem, rows, nearest.plan);
  const most = rows.most.map((bound, r) => Math.max(bound, used[r] + rows.tolerance[r]));
  const cheapest = await exactSolve(problem, rows, { ...search, most });
  const plan = cheapest.plan ?? nearest.plan;
  return { plan, bound: cheapest.bound, infeasible: true, proven: nearest.bound > 1e-7 };
}
