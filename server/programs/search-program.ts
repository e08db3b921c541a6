import type { ProgramProblem, ProgramSolution, SolveProgress } from '../../analytics/program/program-problem.ts';
import { solveProgram } from '../../analytics/program/solve-program.ts';
import type { TaskContext } from '../jobs/task.ts';
import { gapWords, moneyWords } from './program-words.ts';

/** The search ends at this gap, or after so many rounds of prices. */
const GAP_SHARE = 0.0001;
const ROUNDS = 400;

/** Part of a job that a search takes, and what it is called. */
export interface SearchSpan {
  readonly from: number;
  readonly to: number;
  readonly words: string;
  readonly currency: string;
}

/** Solves, telling bound and best program as they move. Cancelled, it ends with the best so far. */
export function searchProgram(
  problem: ProgramProblem,
  context: TaskContext,
  span: SearchSpan,
): Promise<ProgramSolution> {
  return solveProgram(problem, {
    gapShare: GAP_SHARE,
    rounds: ROUNDS,
    cancelled: context.cancelled,
    progress: (now) => context.progress(span.from + (span.to - span.from) * now.shareDone, progressWords(now, span)),
  });
}

/** The part after the colon moves within one step. */
export function progressWords(
  { bound, incumbent }: SolveProgress,
  { words, currency }: Pick<SearchSpan, 'words' | 'currency'>,
): string {
  const money = (value: number) => moneyWords(value, currency);
  const least = Number.isFinite(bound) ? `no program below ${money(bound)}` : 'no bound yet';
  if (incumbent === null) return `${words}: none that keeps every limit yet, ${least}`;
  const gap = Number.isFinite(bound) ? `, gap ${gapWords(Math.max(0, incumbent - bound) / Math.abs(incumbent))}` : '';
  return `${words}: best program ${money(incumbent)}, ${least}${gap}`;
}
