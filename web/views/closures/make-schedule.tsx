import type { ReactNode } from 'react';
import type { ClosurePlan } from '../../../server/schemas/closures.ts';
import { startSchedule } from '../../api/closures.ts';
import { isScheduleJobOf, planState } from '../../state/closure-open.ts';
import { StartJob } from '../data/start-job.tsx';
import { useRulesWaiting } from './setup/use-rules-draft.ts';

/** Starts the scheduling of a plan; then how far it is, with the share placed and the bound as they move. */
export function MakeSchedule({ plan, children }: { plan: ClosurePlan; children: ReactNode }) {
  const { state } = planState(plan);
  return (
    <StartJob
      id={plan.id}
      start={startSchedule}
      isJobOf={isScheduleJobOf}
      label={state === 'none' ? 'Make the schedule' : 'Schedule the rest again'}
      current={state === 'current'}
      unsaved={useRulesWaiting(plan)}
    >
      {children}
    </StartJob>
  );
}
