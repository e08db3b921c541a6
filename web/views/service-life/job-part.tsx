import type { ReactNode } from 'react';
import type { Job } from '../../../server/schemas/job.ts';
import { describeError } from '../../api/request.ts';
import { activeJobs, describeJob } from '../../state/jobs.ts';
import { JobLine } from '../data/job-line.tsx';
import { useJobs } from '../data/use-jobs.ts';
import { Banner } from '../shared/states.tsx';

/** The running job of these kinds with its cancel button; else the button that starts one, and how the last ended. */
export function JobPart({
  kinds,
  startError,
  children,
}: {
  kinds: readonly Job['kind'][];
  startError: unknown;
  children: ReactNode;
}) {
  const jobs = useJobs().filter(({ kind }) => kinds.includes(kind));
  const [running] = activeJobs(jobs);
  const [last] = jobs;
  return (
    <>
      {running ? <JobLine job={running} /> : children}
      {!running && last && last.state !== 'done' && (
        <Banner kind={last.state === 'failed' ? 'fault' : 'caution'}>{describeJob(last)}</Banner>
      )}
      {startError !== null && startError !== undefined && <Banner kind="fault">{describeError(startError)}</Banner>}
    </>
  );
}
