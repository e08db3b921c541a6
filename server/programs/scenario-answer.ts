import type { Scenario } from '../schemas/scenario.ts';
import type { StoredScenario } from '../store/scenario-store.ts';
import type { PlanningBasis } from './planning-basis.ts';

/** A scenario as it leaves: with whether its program is still that of its inputs, records, prices and model. */
export function scenarioAnswer(
  { program, inputsRevision, ...scenario }: StoredScenario,
  { madeFrom }: Pick<PlanningBasis, 'madeFrom'>,
): Scenario {
  if (!program) return { ...scenario, program: null };
  const { madeFrom: programFrom, ...head } = program;
  return { ...scenario, program: { ...head, current: head.revision >= inputsRevision && programFrom === madeFrom } };
}
