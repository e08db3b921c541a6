import type { ProgramConflict, ProgramPlan, ProgramProblem, ProgramSolution, SolveOptions } from './program-problem.ts';
import { type Decomposed, Decomposition } from './solver/decomposition.ts';
import { type PlanFigures, planFigures } from './solver/plan-figures.ts';
import { boundPrices, type RowSet, rowSet } from './solver/row-set.ts';
import { isSmall, type SmallAnswer, solveSmall } from './solver/small-program.ts';

/**
 * Best program for a problem, with a bound that no program can beat: prices of all bounds by decomposition, and for a small
 * problem the optimum by a general solver. Deterministic.
 */
export async function solveProgram(problem: ProgramProblem, options: SolveOptions): Promise<ProgramSolution> {
  const rows = rowSet(problem);
  const found = new Decomposition(problem, rows, options).run();
  const exact = isSmall(problem) && !found.stopped ? await solveSmall(problem, rows, options) : null;
  const answer = better(problem, rows, found, exact);
  const gap = Math.max(0, answer.figures.objective - answer.bound);
  return {
    status: answer.figures.missed > 0 ? 'infeasible' : found.stopped ? 'stopped' : 'solved',
    plan: answer.plan,
    objective: answer.figures.objective,
    bound: Math.min(answer.bound, answer.figures.objective),
    gapShare: answer.figures.missed > 0 ? null : gap === 0 ? 0 : gap / Math.abs(answer.figures.objective),
    rowPrices: boundPrices(problem, rows, found.prices),
    conflicts: conflictsOf(problem, rows, answer.figures),
    conflictsProven: answer.figures.missed > 0 && exact !== null && exact.infeasible && exact.proven,
    method: exact?.proven ? 'exact' : 'decomposition',
    rounds: found.rounds,
  };
}

/** The plan that misses less, or of two that keep all bounds the cheaper; the higher of two bounds. */
function better(
  problem: ProgramProblem,
  rows: RowSet,
  found: Decomposed,
  exact: SmallAnswer | null,
): { plan: ProgramPlan; figures: PlanFigures; bound: number } {
  const plan = found.state.plan();
  const first = { plan, figures: planFigures(problem, rows, plan), bound: found.bound };
  if (exact === null) return first;
  const bound = exact.infeasible ? exact.bound : Math.max(found.bound, exact.bound);
  if (exact.plan === null) return { ...first, bound };
  const second = { plan: exact.plan, figures: planFigures(problem, rows, exact.plan), bound };
  const [a, b] = [first.figures, second.figures];
  return exact.proven || b.missed < a.missed || (b.missed === a.missed && b.objective < a.objective)
    ? second
    : { ...first, bound };
}

/** Rows that a plan misses, in the units of their bounds. */
function conflictsOf(problem: ProgramProblem, rows: RowSet, { used, over }: PlanFigures): ProgramConflict[] {
  const limits = problem.limits.length;
  return [...over.keys()]
    .filter((r) => over[r] > 0)
    .map((r) => {
      const unit = rows.sign[r] * rows.worth[r] * rows.per[r];
      const row = rows.source[r];
      const place = row < limits ? { row, in: 'limits' as const } : { row: row - limits, in: 'targets' as const };
      return { ...place, reachable: used[r] / unit, asked: rows.most[r] / unit };
    });
}
