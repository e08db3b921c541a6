import type { ReactNode } from 'react';
import type { Job } from '../../../server/schemas/job.ts';
import { describeError } from '../../api/request.ts';
import { activeJobs, describeJob } from '../../state/jobs.ts';
import { Banner } from '../shared/states.tsx';
import { JobLine } from './job-line.tsx';
import { useJobs, useStartJob } from './use-jobs.ts';

interface Props {
  /** What is made, of which thing. */ readonly id: string;
  readonly start: (id: string) => Promise<Job>;
  readonly isJobOf: (job: Job, id: string) => boolean;
  readonly label: string;
  /** It is as it would be made now: nobody is urged. */ readonly current: boolean;
  readonly locked?: boolean;
  /** What was typed in Set up and not saved would be left out. */ readonly unsaved: boolean;
  readonly children: ReactNode;
  readonly note?: ReactNode;
}

/** Starts the making of something; then how far it is, and what ended the last time. */
export function StartJob({ id, start: begin, isJobOf, label, current, locked, unsaved, children, note }: Props) {
  const jobs = useJobs().filter((job) => isJobOf(job, id));
  const [running] = activeJobs(jobs);
  const [last] = jobs;
  const start = useStartJob(begin);
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
          className={`button${current ? '' : ' primary'}`}
          disabled={start.isPending || locked || unsaved}
          onClick={() => start.mutate(id)}
        >
          {label}
        </button>
        {children}
        {unsaved ? <span className="small">Set up has changes that are not saved yet.</span> : note}
      </div>
      {last?.state === 'failed' && <Banner kind="fault">{describeJob(last)}</Banner>}
      {last?.state === 'interrupted' && <Banner kind="caution">{describeJob(last)}</Banner>}
      {start.isError && <Banner kind="fault">{describeError(start.error)}</Banner>}
    </>
  );
}
