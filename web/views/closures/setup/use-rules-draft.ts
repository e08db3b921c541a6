import type { ClosurePlan } from '../../../../server/schemas/closures.ts';
import { draftRules, type RulesDraft } from '../../../state/closure-rules-draft.ts';
import { type DraftState, keptDrafts, useKeptDraft, useWaiting } from '../../shared/kept-drafts.ts';
import { useUnits } from '../../shared/preferences.ts';

const drafts = keptDrafts<RulesDraft>('kerfcast.closure-rules');

/** The plan's rules as typed. What has been typed stays in the unit it was typed in; an untouched form follows. */
export function useRulesDraft(plan: ClosurePlan): DraftState<RulesDraft> {
  return useKeptDraft(drafts, plan, draftRules(plan.rules, useUnits()));
}

/** Whether the plan's form holds changes that are not saved. */
export const useRulesWaiting = (plan: Pick<ClosurePlan, 'id'>): boolean => useWaiting(drafts, plan);
