import { BASELINES } from '../../analytics/program/baselines.ts';
import { programProblem } from '../../analytics/program/build-problem.ts';
import { evaluateProgram } from '../../analytics/program/evaluate-program.ts';
import type { ProgramPlan, ProgramProblem, ProgramSolution } from '../../analytics/program/program-problem.ts';
import { workReasons } from '../../analytics/program/work-reasons.ts';
import { PriceList } from '../forecasting/price-list.ts';
import { TaskCancelled, type TaskContext } from '../jobs/task.ts';
import type { Program } from '../schemas/program.ts';
import type { StoredScenario } from '../store/scenario-store.ts';
import { checkScenario, tellFaults } from './check-scenario.ts';
import { freeKey, handMadeCost } from './hand-made-cost.ts';
import { encodeOutcome } from './outcome-bytes.ts';
import { type PlanningBasis, readPlanningBasis } from './planning-basis.ts';
import { type PlanningGround, readPlanningGround } from './planning-ground.ts';
import { programReport } from './program-report.ts';
import { gapWords } from './program-words.ts';
import { programWorks } from './program-works.ts';
import { type ScenarioAsked, type ScenarioProgramInput, scenarioProgramInput } from './scenario-program-input.ts';
import { baselinePlan, programSample } from './scenario-sample.ts';
import { scenarioTerms } from './scenario-terms.ts';
import { searchProgram } from './search-program.ts';

/** Share of a job that is over when each step begins; measured on 100,000 segments. */
const AT = { ground: 0, build: 0.28, free: 0.3, solve: 0.5, evaluate: 0.8, write: 0.96 } as const;
const BATCH = 5000;

/** All that solving rests on. */
interface Question {
  readonly scenario: StoredScenario;
  readonly basis: PlanningBasis;
  readonly asked: ScenarioAsked;
  readonly ground: PlanningGround;
  readonly input: ScenarioProgramInput;
  readonly problem: ProgramProblem;
}

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
  const question = await askedQuestion(scenario, context);
  const { solution, handMade, freeObjective } = await solved(question, context);
  if (context.cancelled()) {
    if (solution.status === 'infeasible') throw new TaskCancelled();
    context.keep();
  }
  const { report, works, draws } = workedOut(question, solution, handMade, context);
  tell(context, AT.write, 'Writing the program');
  await store.writeProgram(scenarioId, {
    revision: scenario.revision,
    modelVersion: question.ground.modelVersion,
    dataVersion: question.basis.dataVersion,
    madeAt: new Date().toISOString(),
    planningDate: question.ground.planningDate,
    madeFrom: question.basis.madeFrom,
    freeKey: freeKey(scenario.inputs, question.basis),
    freeObjective,
    ...{ report, draws, works: batches(works) },
  });
  return endWords(report);
}

async function askedQuestion(scenario: StoredScenario, context: TaskContext): Promise<Question> {
  const { store } = context;
  const { inputs } = scenario;
  const basis = await readPlanningBasis(store, context.today);
  const faults = await checkScenario(store, inputs, basis.firstYear);
  if (faults.length > 0) throw new Error(tellFaults(faults, 'inputs').detail);
  const prices = new PriceList(await store.readUnitCosts());
  const years = { planningYear: basis.firstYear, priceYear: prices.priceYear };
  const terms = scenarioTerms(inputs, basis.settings, years);
  const asked = { inputs, settings: basis.settings, prices, terms };
  const ground = await readPlanningGround(store, basis, inputs.horizonYears, (share, step) =>
    tell(context, AT.ground + (AT.build - AT.ground) * share, step),
  );
  tell(context, AT.build, 'Setting up what is to be decided');
  const input = scenarioProgramInput(ground, asked);
  return { scenario, basis, asked, ground, input, problem: programProblem(input) };
}

async function solved(question: Question, context: TaskContext) {
  const { scenario, basis, asked, ground, problem } = question;
  const { inputs } = scenario;
  const { currency } = basis.settings;
  if (inputs.chosen.length === 0) {
    const span = { from: AT.free, to: AT.evaluate, words: 'Solving', currency };
    const solution = await searchProgram(problem, context, span);
    const freeObjective = solution.status === 'solved' ? solution.objective : null;
    return { solution, handMade: null, freeObjective };
  }
  const known = await context.store.findFreeObjective(freeKey(inputs, basis));
  const free = known ?? (await withoutChoices());
  const from = known === null ? AT.solve : AT.free;
  const span = { from, to: AT.evaluate, words: 'Solving around the choices made by hand', currency };
  const solution = await searchProgram(problem, context, span);
  return { solution, handMade: handMadeCost(solution, free), freeObjective: free };

  async function withoutChoices(): Promise<number | null> {
    const freeAsked = { ...asked, inputs: { ...inputs, chosen: [] } };
    const freeProblem = programProblem(scenarioProgramInput(ground, freeAsked));
    const freeSpan = { from: AT.free, to: AT.solve, words: 'Solving without the choices made by hand', currency };
    const solution = await searchProgram(freeProblem, context, freeSpan);
    if (context.cancelled()) throw new TaskCancelled();
    return solution.status === 'solved' ? solution.objective : null;
  }
}

/** What the program and the baselines come to, and why each work is there. */
function workedOut(question: Question, solution: ProgramSolution, handMade: number | null, context: TaskContext) {
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
    ...{ scenario, ground, input, solution, outcome, baselines, works, handMadeCost: handMade },
    ...{ asked, dataVersion: basis.dataVersion },
  });
  return { report, works, draws: encodeOutcome(outcome.draws, ground.modelVersion) };
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
