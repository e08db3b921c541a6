import { useSyncExternalStore } from 'react';
import type { Scenario } from '../../../server/schemas/scenario.ts';
import { draftScenario, type ScenarioDraft } from '../../state/scenario-draft.ts';
import { keptStore, withKept } from '../shared/kept-store.ts';
import { useUnits } from '../shared/preferences.ts';

interface KeptDraft {
  /** Of the scenario that the draft was begun from. */ readonly revision: number;
  readonly draft: ScenarioDraft;
}
const drafts = keptStore<KeptDraft>('kerfcast.scenario-drafts');
const useDrafts = () => useSyncExternalStore(drafts.subscribe, drafts.read);

export interface DraftState {
  readonly draft: ScenarioDraft;
  readonly touched: boolean;
  /** The scenario has been changed elsewhere since the draft was begun. */ readonly overtaken: boolean;
  readonly change: (part: Partial<ScenarioDraft>) => void;
  readonly forget: () => void;
  /** Goes on with the draft, on top of the scenario as it is now. */ readonly carryOn: () => void;
}

/** The scenario's inputs as typed. What has been typed stays in the unit it was typed in; an untouched form follows. */
export function useScenarioDraft(scenario: Scenario): DraftState {
  const units = useUnits();
  const kept = useDrafts()[scenario.id] as KeptDraft | undefined;
  const draft = kept?.draft ?? draftScenario(scenario.inputs, units);
  const keep = (next: KeptDraft | null) => drafts.write(withKept(drafts.read(), scenario.id, next));
  return {
    draft,
    touched: kept !== undefined,
    overtaken: kept !== undefined && kept.revision !== scenario.revision,
    change: (part) => {
      const before = drafts.read()[scenario.id];
      keep({ revision: before?.revision ?? scenario.revision, draft: { ...(before?.draft ?? draft), ...part } });
    },
    forget: () => keep(null),
    carryOn: () => kept && keep({ ...kept, revision: scenario.revision }),
  };
}

/** Whether the scenario's form holds changes that are not saved. */
export const useDraftWaiting = ({ id }: Pick<Scenario, 'id'>): boolean => useDrafts()[id] !== undefined;
