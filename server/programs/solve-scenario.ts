import { BASELINES } from '../../analytics/program/baselines.ts';
import { evaluateProgram } from '../../analytics/program/evaluate-program.ts';
import type { ProgramPlan, ProgramSolution } from '../../analytics/program/program-problem.ts';
import { workReasons } from '../../analytics/program/work-reasons.ts';
import { TaskCancelled, type TaskContext } from '../jobs/task.ts';
import type { Program } from '../schemas/program.ts';
import { freeKey, solveAround } from './around-choices.ts';
import { encodeOutcome } from './outcome-bytes.ts';
import { type Question, readQuestion } from './program-question.ts';
import { programReport } from './program-report.ts';
import { gapWords } from './program-words.ts';
import { programWorks } from './program-works.ts';
import { baselinePlan, programSample } from './scenario-sample.ts';
import { searchProgram } from './search-program.ts';

/** Share of a job that is over when each step begins; measured on 100,000 segments. */
const AT = { solve: 0.3, evaluate: 0.8, write: 0.96 } as const;
const BATCH = 5000;

/**
 * Makes the program of a scenario and writes it in one transaction: reads and forecasts the network, solves, works out what
 * the program and the baselines come to. Cancelled while it solves, it keeps the best program so far; cancelled earlier, or
 * once more, it keeps nothing.
 * @returns what came of it, in words
 */
export async function solveScenario(scenarioId: string, context: TaskContext): Promise<string> {
  const { store } = context;
  const scenario = await store.findScenario(scenarioId);
  if (!scenario) throw new Error(`No scenario ${scenarioId}`);
  const question = await readQuestion(store, scenario, context.today, (share, step) =>
    tell(context, AT.solve * share, step),
  );
  tell(context, AT.solve, 'Solving');
  const span = { from: AT.solve, to: AT.evaluate, words: 'Solving', currency: question.basis.settings.currency };
  const byHand = scenario.inputs.chosen.length > 0;
  const { solution, handMadeCost } = byHand
    ? await solveAround(question, context, span)
    : { solution: await searchProgram(question.problem, context, span), handMadeCost: null };
  if (context.cancelled()) {
    if (solution.gapShare === null) throw new TaskCancelled(); // none yet that keeps every limit
    context.keep();
  }
  const { report, works, draws } = workedOut(question, solution, handMadeCost, context);
  tell(context, AT.write, 'Writing the program');
  await store.writeProgram(scenarioId, {
    revision: scenario.revision,
    modelVersion: question.ground.modelVersion,
    dataVersion: question.basis.dataVersion,
    madeAt: new Date().toISOString(),
    planningDate: question.ground.planningDate,
    madeFrom: question.basis.madeFrom,
    freeKey: freeKey(scenario.inputs, question.basis),
    freeObjective: byHand || solution.status !== 'solved' ? null : solution.objective,
    ...{ report, draws, works: batches(works) },
  });
  return endWords(report);
}

/** What the program and the baselines come to, and why each work is there. */
function workedOut(question: Question, solution: ProgramSolution, handMadeCost: number | null, context: TaskContext) {
  const { scenario, basis, asked, ground, input, problem } = question;
  const sample = programSample(ground, input);
  const parts = BASELINES.length + 2;
  const step = (part: number, share: number, words: string) =>
    tell(context, AT.evaluate + ((AT.write - AT.evaluate) * (part + share)) / parts, words);
  const evaluated = (plan: ProgramPlan, part: number, words: string) => {
    step(part, 0, words);
    return evaluateProgram(problem, plan, sample, asked.terms, (share) => step(part, share, words));
  };
  const outcome = evaluated(solution.plan, 0, 'Working out what the program comes to');
  const { fixedCycleYears } = scenario.inputs;
  const baselines = BASELINES.map((baseline, at) => {
    const words = 'Working out what the simple rules come to';
    step(at + 1, 0, words);
    return {
      baseline,
      outcome: evaluated(baselinePlan(baseline, problem, { ground, fixedCycleYears }), at + 1, words),
    };
  });
  step(parts - 1, 0, 'Wording the reason of each work');
  const works = programWorks(workReasons(problem, solution.plan), { ...asked, ground, input });
  const report = programReport({
    ...{ scenario, ground, input, solution, outcome, baselines, works, handMadeCost },
    ...{ asked, dataVersion: basis.dataVersion },
  });
  return {
    report,
    works,
    draws: encodeOutcome({ outcome: outcome.draws, modelVersion: ground.modelVersion, rowPrices: solution.rowPrices }),
  };
}

function* batches<T>(list: readonly T[]): Generator<readonly T[]> {
  for (let at = 0; at < list.length; at += BATCH) yield list.slice(at, at + BATCH);
}

function tell(context: TaskContext, share: number, step: string): void {
  if (context.cancelled()) throw new TaskCancelled();
  context.progress(share, step);
}

function endWords({ status, gapShare }: Program): string {
  const gap = gapShare === null ? '' : ` Gap to the bound: ${gapWords(gapShare)}.`;
  if (status === 'stopped') return `Stopped; the best program so far was kept.${gap}`;
  if (status === 'infeasible')
    return 'Done: no program keeps every limit. The nearest was kept, with what is in conflict.';
  return `Done.${gap}`;
}
