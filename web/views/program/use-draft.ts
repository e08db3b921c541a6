import type { Scenario } from '../../../server/schemas/scenario.ts';
import { draftScenario, type ScenarioDraft } from '../../state/scenario-draft.ts';
import { type DraftState, keptDrafts, useKeptDraft, useWaiting } from '../shared/kept-drafts.ts';
import { useUnits } from '../shared/preferences.ts';

const drafts = keptDrafts<ScenarioDraft>('kerfcast.scenario-drafts');

/** The scenario's inputs as typed. What has been typed stays in the unit it was typed in; an untouched form follows. */
export function useScenarioDraft(scenario: Scenario): DraftState<ScenarioDraft> {
  return useKeptDraft(drafts, scenario, draftScenario(scenario.inputs, useUnits()));
}

/** Whether the scenario's form holds changes that are not saved. */
export const useDraftWaiting = (scenario: Pick<Scenario, 'id'>): boolean => useWaiting(drafts, scenario);
