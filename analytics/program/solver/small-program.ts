import type { ProgramPlan, ProgramProblem, SolveOptions } from '../program-problem.ts';
import { exactSolve } from './exact-solve.ts';
import { planFigures } from './plan-figures.ts';
import type { RowSet } from './row-set.ts';

/** So many columns of reseals at most are left to the general solver. */
const MOST_COLUMNS = 1500;
/** Branches, so that it ends. */
const NODES = 3000;
const GAP_SHARE = 1e-6;

export interface SmallAnswer {
  readonly plan: ProgramPlan | null;
  readonly bound: number;
  /** No plan keeps the rows; `plan` is then the nearest. */ readonly infeasible: boolean;
  /** Whether optimum or infeasibility is proven. */ readonly proven: boolean;
}

export function isSmall({ count, years, types }: ProgramProblem): boolean {
  return (count * types.classes * years * (years + 1)) / 2 <= MOST_COLUMNS;
}

/** Optimum of a small program; where there is none, the plan that misses least, and of those the cheapest. */
export async function solveSmall(problem: ProgramProblem, rows: RowSet, options: SolveOptions): Promise<SmallAnswer> {
  const search = { elastic: false, most: rows.most, nodes: NODES, gapShare: GAP_SHARE, cancelled: options.cancelled };
  const first = await exactSolve(problem, rows, search);
  if (!first.infeasible) return first;
  const nearest = await exactSolve(problem, rows, { ...search, elastic: true });
  if (nearest.plan === null) return { ...first, plan: null };
  const { used } = planFigures(problem, rows, nearest.plan);
  const most = rows.most.map((bound, r) => Math.max(bound, used[r] + rows.tolerance[r]));
  const cheapest = await exactSolve(problem, rows, { ...search, most });
  const plan = cheapest.plan ?? nearest.plan;
  return { plan, bound: cheapest.bound, infeasible: true, proven: nearest.bound > 1e-7 };
}
