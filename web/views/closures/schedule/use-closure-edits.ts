import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useSyncExternalStore } from 'react';
import type { Closure, ClosureClash, ClosureEdit, ClosurePlan, Schedule } from '../../../../server/schemas/closures.ts';
import { editClosure } from '../../../api/closures.ts';
import { closureName } from '../../../state/closure-words.ts';
import { keptStore, withKept } from '../../shared/kept-store.ts';
import { plansQuery, scheduleQuery } from '../closure-queries.ts';
import { useReadAgain } from '../use-plan-news.ts';

/** A change that came second: kept until it is made again or dropped. */
export interface WaitingEdit {
  readonly planId: string;
  readonly closureUid: string;
  /** As the closure was called when it was changed. */ readonly name: string;
  readonly edit: ClosureEdit;
  readonly clash: ClosureClash;
}
const waitingEdits = keptStore<WaitingEdit>('kerfcast.closure-edits');
const keyOf = ({ planId, closureUid }: Pick<WaitingEdit, 'planId' | 'closureUid'>) => `${planId} ${closureUid}`;

export interface ClosureEdits {
  readonly make: (closure: Closure, edit: ClosureEdit, onMade?: () => void) => void;
  readonly pending: boolean;
  readonly error: unknown;
  /** Changes of this plan that came second. */ readonly waiting: readonly WaitingEdit[];
  readonly drop: (waiting: WaitingEdit) => void;
}

/** Changes of closures by hand, from the revision that is shown. One that comes second is kept, not lost. */
export function useClosureEdits(schedule: Schedule): ClosureEdits {
  const { planId, planRevision } = schedule;
  const client = useQueryClient();
  const readAgain = useReadAgain();
  const kept = useSyncExternalStore(waitingEdits.subscribe, waitingEdits.read);
  const keep = (key: string, value: WaitingEdit | null) =>
    waitingEdits.write(withKept(waitingEdits.read(), key, value));
  const change = useMutation({
    mutationFn: ({ closure, edit }: { closure: Closure; edit: ClosureEdit; onMade?: () => void }) =>
      editClosure({ id: planId, revision: planRevision }, closure.id, edit),
    onSuccess: (edited, { closure, edit, onMade }) => {
      const key = keyOf({ planId, closureUid: closure.uid });
      if (edited.kind === 'clash') {
        const earlier = waitingEdits.read()[key]?.edit;
        const name = closureName(closure);
        keep(key, { planId, closureUid: closure.uid, name, edit: { ...earlier, ...edit }, clash: edited.clash });
        return readAgain(planId);
      }
      keep(key, null);
      tellMade(edited.value);
      onMade?.();
    },
    onError: () => void readAgain(planId),
  });
  const tellMade = ({ plan, closure }: { plan: ClosurePlan; closure: Closure }) => {
    client.setQueryData(scheduleQuery(planId).queryKey, (shown: Schedule | null | undefined) =>
      shown
        ? {
            ...shown,
            planRevision: plan.revision,
            closures: shown.closures.map((each) => (each.uid === closure.uid ? closure : each)),
          }
        : shown,
    );
    client.setQueryData(plansQuery.queryKey, (list: ClosurePlan[] | undefined) =>
      list?.map((each) => (each.id === plan.id ? plan : each)),
    );
    // Totals, and what others break, may have changed with it.
    void client.invalidateQueries({ queryKey: scheduleQuery(planId).queryKey });
  };
  return {
    make: (closure, edit, onMade) => change.mutate({ closure, edit, onMade }),
    pending: change.isPending,
    error: change.error,
    waiting: Object.values(kept).filter((each) => each.planId === planId),
    drop: (waiting) => keep(keyOf(waiting), null),
  };
}
