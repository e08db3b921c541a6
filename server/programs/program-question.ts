import { programProblem } from '../../analytics/program/build-problem.ts';
import type { ProgramProblem } from '../../analytics/program/program-problem.ts';
import { PriceList } from '../forecasting/price-list.ts';
import type { StoredScenario } from '../store/scenario-store.ts';
import type { Store } from '../store/store.ts';
import { checkScenario, tellFaults } from './check-scenario.ts';
import { type PlanningBasis, readPlanningBasis } from './planning-basis.ts';
import { type PlanningGround, readPlanningGround } from './planning-ground.ts';
import { type ScenarioAsked, type ScenarioProgramInput, scenarioProgramInput } from './scenario-program-input.ts';
import { scenarioTerms } from './scenario-terms.ts';

/** All that solving a scenario rests on. */
export interface Question {
  readonly scenario: StoredScenario;
  readonly basis: PlanningBasis;
  readonly asked: ScenarioAsked;
  readonly ground: PlanningGround;
  readonly input: ScenarioProgramInput;
  readonly problem: ProgramProblem;
}

/**
 * Reads the ground of a scenario and sets its problem up.
 * @param today ISO day @param progress share done, 0-1, and what is being done
 * @throws Error where the records speak against the scenario; what `progress` throws
 */
export async function readQuestion(
  store: Store,
  scenario: StoredScenario,
  today: string,
  progress: (share: number, step: string) => void,
): Promise<Question> {
  const { inputs } = scenario;
  const basis = await readPlanningBasis(store, today);
  const faults = await checkScenario(store, inputs, basis.firstYear);
  if (faults.length > 0) throw new Error(tellFaults(faults, 'inputs').detail);
  const prices = new PriceList(await store.readUnitCosts());
  const years = { planningYear: basis.firstYear, priceYear: prices.priceYear };
  const asked = { inputs, settings: basis.settings, prices, terms: scenarioTerms(inputs, basis.settings, years) };
  const ground = await readPlanningGround(store, basis, inputs.horizonYears, (share, step) =>
    progress(0.9 * share, step),
  );
  progress(0.9, 'Setting up what is to be decided');
  const input = scenarioProgramInput(ground, asked);
  return { scenario, basis, asked, ground, input, problem: programProblem(input) };
}
