import type { ReactNode } from 'react';
import type { ClosurePlan } from '../../../server/schemas/closures.ts';
import { startSchedule } from '../../api/closures.ts';
import { describeError } from '../../api/request.ts';
import { isScheduleJobOf, planState } from '../../state/closure-open.ts';
import { activeJobs, describeJob } from '../../state/jobs.ts';
import { JobLine } from '../data/job-line.tsx';
import { useJobs, useStartJob } from '../data/use-jobs.ts';
import { Banner } from '../shared/states.tsx';
import { useRulesWaiting } from './setup/use-rules-draft.ts';

/** Starts the scheduling of a plan; then how far it is, with the share placed and the bound as they move. */
export function MakeSchedule({ plan, children }: { plan: ClosurePlan; children: ReactNode }) {
  const jobs = useJobs().filter((job) => isScheduleJobOf(job, plan.id));
  const [running] = activeJobs(jobs);
  const [last] = jobs;
  const start = useStartJob(startSchedule);
  const unsaved = useRulesWaiting(plan);
  const { state } = planState(plan);
  if (running)
    return (
      <>
        {children}
        <JobLine job={running} />
      </>
    );
  return (
    <>
      <div className="row">
        <button
          type="button"
          className={`button${state === 'current' ? '' : ' primary'}`}
          disabled={start.isPending || unsaved}
          onClick={() => start.mutate(plan.id)}
        >
          {state === 'none' ? 'Make the schedule' : 'Schedule the rest again'}
        </button>
        {children}
        {unsaved && <span className="small">Set up has changes that are not saved yet.</span>}
      </div>
      {last?.state === 'failed' && <Banner kind="fault">{describeJob(last)}</Banner>}
      {last?.state === 'interrupted' && <Banner kind="caution">{describeJob(last)}</Banner>}
      {start.isError && <Banner kind="fault">{describeError(start.error)}</Banner>}
    </>
  );
}
