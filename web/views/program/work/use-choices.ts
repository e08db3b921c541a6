import { useMemo, useSyncExternalStore } from 'react';
import type { Scenario } from '../../../../server/schemas/scenario.ts';
import {
  type Choice,
  type ChoiceChange,
  choiceChanges,
  type Move,
  withMove,
  withoutChoices,
} from '../../../state/program-choices.ts';
import { keptStore, withKept } from '../../shared/kept-store.ts';

const made = keptStore<readonly Choice[]>('kerfcast.program-choices');

export interface ChoicesState {
  /** All choices by hand, those kept in the scenario and those made since. */ readonly choices: readonly Choice[];
  /** What was changed since and is not solved yet. */ readonly changes: readonly ChoiceChange[];
  readonly move: (move: Move) => void;
  readonly release: (segmentIds: readonly string[]) => void;
  /** Back to those that the scenario keeps. */ readonly undo: () => void;
}

/** Choices made by hand in the work list. Those not solved yet stay in this tab. */
export function useChoices({ id, inputs: { chosen } }: Scenario): ChoicesState {
  const choices = useSyncExternalStore(made.subscribe, made.read)[id] ?? chosen;
  const changes = useMemo(() => choiceChanges(chosen, choices), [chosen, choices]);
  const keep = (next: readonly Choice[]) =>
    made.write(withKept(made.read(), id, choiceChanges(chosen, next).length === 0 ? null : next));
  const now = () => made.read()[id] ?? chosen;
  return {
    choices,
    changes,
    move: (move) => keep(withMove(now(), move)),
    release: (segmentIds) => keep(withoutChoices(now(), segmentIds)),
    undo: () => keep(chosen),
  };
}
