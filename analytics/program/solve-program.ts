import { checkProblem } from './check-problem.ts';
import type { ProgramConflict, ProgramPlan, ProgramProblem, ProgramSolution, SolveOptions } from './program-problem.ts';
import { type Decomposed, Decomposition } from './solver/decomposition.ts';
import { type PlanFigures, planFigures } from './solver/plan-figures.ts';
import { boundPrices, type RowSet, rowSet } from './solver/row-set.ts';
import { isModest, isSmall, type SmallAnswer, solveSmall } from './solver/small-program.ts';

/** By so much a bound must be above a plan to be no rounding. */
const REFUTED = 1e-5;

/**
 * Best program for a problem, with a bound that no program can beat: prices of all bounds by decomposition, and for a small
 * problem the optimum by a general solver. Where no program keeps all bounds, the nearest, and what it misses. Deterministic.
 * @throws RangeError naming the field, what it was and what is allowed
 */
export async function solveProgram(problem: ProgramProblem, options: SolveOptions): Promise<ProgramSolution> {
  checkProblem(problem);
  const rows = rowSet(problem);
  const found = new Decomposition(problem, rows, options).run();
  const first = answerOf(problem, rows, found);
  if (found.stopped) return solutionOf(problem, rows, { ...first, stopped: true });
  const undecided = !found.feasible && !found.conflictsProven;
  if (!isSmall(problem) && !(undecided && isModest(problem)))
    return solutionOf(problem, rows, found.feasible ? first : relaxed(problem, rows, first, options));
  return solutionOf(problem, rows, await exact(problem, rows, first, options));
}

interface Answer {
  readonly plan: ProgramPlan;
  readonly figures: PlanFigures;
  readonly bound: number;
  readonly prices: Float64Array;
  readonly conflictsProven: boolean;
  readonly method: ProgramSolution['method'];
  readonly rounds: number;
  readonly stopped: boolean;
}

function answerOf(problem: ProgramProblem, rows: RowSet, found: Decomposed): Answer {
  const plan = found.state.plan();
  const { bound, prices, conflictsProven, rounds, stopped } = found;
  const figures = planFigures(problem, rows, plan);
  return { plan, figures, bound, prices, conflictsProven, method: 'decomposition', rounds, stopped };
}

/** Among plans that miss no more than the nearest, a cheap one. */
function relaxed(problem: ProgramProblem, rows: RowSet, nearest: Answer, options: SolveOptions): Answer {
  const most = rows.most.map((bound, r) => Math.max(bound, nearest.figures.used[r] + rows.tolerance[r]));
  const progress = () => options.progress?.({ shareDone: 1, bound: nearest.bound, incumbent: null });
  const found = new Decomposition(problem, { ...rows, most }, { ...options, progress }).run();
  const again = { ...answerOf(problem, rows, found), conflictsProven: nearest.conflictsProven, stopped: found.stopped };
  const { bound, prices, rounds } = again;
  return found.feasible && again.figures.objective < nearest.figures.objective
    ? again
    : { ...nearest, bound, prices, rounds };
}

async function exact(problem: ProgramProblem, rows: RowSet, first: Answer, options: SolveOptions): Promise<Answer> {
  const found = await solveSmall(problem, rows, first.figures, options);
  if (isRefuted(found, first.figures)) return first;
  const bound = found.infeasible ? found.bound : Math.max(first.bound, found.bound);
  const method = found.proven ? 'exact' : 'decomposition';
  const answer = { ...first, bound, method, stopped: options.cancelled?.() ?? false } as const;
  if (found.plan === null) return answer;
  const figures = planFigures(problem, rows, found.plan);
  const { missed, objective } = first.figures;
  const worse = figures.missed > missed || (figures.missed === missed && figures.objective > objective);
  if (worse && !(found.infeasible && found.proven)) return answer;
  return { ...answer, plan: found.plan, figures, conflictsProven: found.infeasible && found.proven };
}

/** A plan in hand that keeps all bounds disproves a solver that says there is none, or none so cheap. */
function isRefuted({ infeasible, bound }: SmallAnswer, { missed, objective }: PlanFigures): boolean {
  return missed === 0 && (infeasible || bound > objective + REFUTED * Math.abs(objective));
}

function solutionOf(problem: ProgramProblem, rows: RowSet, answer: Answer): ProgramSolution {
  const { objective, missed } = answer.figures;
  const gap = Math.max(0, objective - answer.bound);
  return {
    status: missed > 0 ? 'infeasible' : answer.stopped ? 'stopped' : 'solved',
    plan: answer.plan,
    objective,
    bound: Math.min(answer.bound, objective),
    gapShare: missed > 0 ? null : gap === 0 ? 0 : gap / Math.abs(objective),
    rowPrices: boundPrices(problem, rows, answer.prices),
    conflicts: conflictsOf(problem, rows, answer.figures),
    conflictsProven: missed > 0 && answer.conflictsProven,
    method: answer.method,
    rounds: answer.rounds,
  };
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
