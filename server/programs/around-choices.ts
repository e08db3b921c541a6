import { createHash } from 'node:crypto';
import { type AdjustedPlan, adjustPlan } from '../../analytics/program/adjust-plan.ts';
import { programProblem } from '../../analytics/program/build-problem.ts';
import type { ProgramPlan, ProgramProblem, ProgramSolution } from '../../analytics/program/program-problem.ts';
import { TaskCancelled, type TaskContext } from '../jobs/task.ts';
import type { Program } from '../schemas/program.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import { SEALANT_CLASSES } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import { decodeOutcome } from './outcome-bytes.ts';
import type { PlanningBasis } from './planning-basis.ts';
import type { Question } from './program-question.ts';
import { withoutChoices } from './scenario-program-input.ts';
import { type SearchSpan, searchProgram } from './search-program.ts';

/** What a program without the choices made by hand says of one with them. */
interface FreeProgram {
  readonly plan: ProgramPlan;
  readonly bound: number;
  readonly rowPrices: Float64Array;
}

export interface AroundChoices {
  readonly solution: ProgramSolution;
  /** What the choices add to the objective; null: not known, as some limit cannot be kept. */
  readonly handMadeCost: number | null;
}

/** Choices that cost less than this share of the objective need no search of their own. */
const SMALL_COST_SHARE = 0.001;

/** Names what is asked but for the choices made by hand, so that one solution without them serves many with them. */
export function freeKey(
  { chosen: _chosen, ...inputs }: ScenarioInputs,
  { madeFrom, planningDate }: PlanningBasis,
): string {
  const members = Object.entries(inputs).sort(([a], [b]) => (a < b ? -1 : 1));
  return createHash('sha1')
    .update(JSON.stringify([members, madeFrom, planningDate]))
    .digest('base64url');
}

/**
 * Solves around choices made by hand: the program without them is put right for them, with little else changed. So what they
 * cost is told to the unit, and the rest of the program stays as people know it; two searches would each end somewhere in its
 * own gap. Only where the choices cost much is there a search of their own, and the cheaper of the two is taken.
 */
export async function solveAround(question: Question, context: TaskContext, span: SearchSpan): Promise<AroundChoices> {
  const { problem, input, ground, scenario } = question;
  const freeProblem = programProblem(withoutChoices(input, ground, scenario.inputs));
  const middle = (span.from + span.to) / 2;
  const free =
    (await storedFree(context.store, question, freeProblem)) ??
    (await searchedFree(freeProblem, context, {
      ...span,
      to: middle,
      words: 'Solving without the choices made by hand',
    }));
  const own = { ...span, from: middle, words: 'Solving around the choices made by hand' };
  if (!free) return { solution: await searchProgram(problem, context, own), handMadeCost: null };
  context.progress(middle, own.words);
  // Both are polished alike, so that the difference is the choices' alone.
  const polished = adjustPlan(freeProblem, free.plan, free.rowPrices, context.cancelled);
  const adjusted = adjustPlan(problem, polished.plan, free.rowPrices, context.cancelled);
  const handMadeCost = adjusted.feasible ? Math.max(0, adjusted.objective - polished.objective) : null;
  const put = adjusted.feasible ? adjustedSolution(adjusted, free) : null;
  if (put && handMadeCost !== null && handMadeCost <= SMALL_COST_SHARE * Math.abs(polished.objective))
    return { solution: put, handMadeCost };
  const searched = await searchProgram(problem, context, own);
  const better = put && (searched.gapShare === null || put.objective <= searched.objective);
  return { solution: better ? withBound(put, searched.bound) : searched, handMadeCost };
}

/** No program with the choices can beat the bound of those without. */
const adjustedSolution = ({ plan, objective }: AdjustedPlan, { bound, rowPrices }: FreeProgram): ProgramSolution =>
  withBound(
    {
      ...{ status: 'solved', plan, objective, bound: Math.min(bound, objective), gapShare: 0, rowPrices },
      ...{ conflicts: [], conflictsProven: false, method: 'decomposition', rounds: 0 },
    },
    bound,
  );

function withBound(solution: ProgramSolution, bound: number): ProgramSolution {
  const { objective } = solution;
  const higher = Math.min(objective, Math.max(solution.bound, bound));
  const gapShare = objective === higher ? 0 : (objective - higher) / Math.abs(objective);
  return { ...solution, bound: higher, gapShare };
}

async function searchedFree(
  problem: ProgramProblem,
  context: TaskContext,
  span: SearchSpan,
): Promise<FreeProgram | null> {
  const solution = await searchProgram(problem, context, span);
  if (context.cancelled()) throw new TaskCancelled();
  return solution.status === 'solved' ? solution : null;
}

/** A program that is kept for the same question without choices. */
async function storedFree(
  store: Store,
  { scenario, basis, ground }: Question,
  problem: ProgramProblem,
): Promise<FreeProgram | null> {
  const id = await store.findFreeProgram(freeKey(scenario.inputs, basis));
  const [program, bytes] = id === null ? [null, null] : [await store.readProgram(id), await store.readProgramDraws(id)];
  if (id === null || !program || !bytes) return null;
  const { rowPrices } = decodeOutcome(bytes);
  if (rowPrices.length !== problem.limits.length + problem.targets.length) return null;
  const numberOf = new Map(ground.segments.map((segment, i) => [segment.id, i]));
  const works: [segment: number, year: number, sealantClass: number][] = [];
  for await (const batch of store.readWorks(id, 'segment'))
    for (const { segmentId, year, sealantClass } of batch) {
      const segment = numberOf.get(segmentId);
      if (segment === undefined) return null;
      works.push([segment, year - ground.firstYear, SEALANT_CLASSES.indexOf(sealantClass)]);
    }
  works.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const [segment, year, sealantClass] = [0, 1, 2].map((k) => Int32Array.from(works, (work) => work[k]));
  return { plan: { segment, year, sealantClass }, bound: (program.report as Program).bound, rowPrices };
}
