import type { Job } from '../../../server/schemas/job.ts';
import { describeError } from '../../api/request.ts';
import { isActive, keepsBest } from '../../state/jobs.ts';
import { Progress } from '../shared/controls.tsx';
import { useCancelJob } from './use-jobs.ts';

/** A running job: what it does, how far it is, and a way to stop it. */
export function JobLine({ job }: { job: Job }) {
  const cancel = useCancelJob();
  if (!isActive(job)) return null;
  // The answer to the wish comes at once, the end of the work a little later.
  const stopping = cancel.isPending || cancel.isSuccess;
  const stop = keepsBest(job) ? 'Stop and keep the best so far' : 'Cancel';
  const percent = job.state === 'queued' ? 'waiting' : `${Math.floor(job.progress * 100)}\u00a0%`;
  return (
    <div className="job-line">
      <Progress
        label={`${job.title}: ${percent}${job.step ? `, ${job.step}` : ''}`}
        share={job.state === 'queued' ? null : job.progress}
      />
      <button
        type="button"
        className="button"
        disabled={stopping}
        onClick={() => cancel.mutate(job.id)}
        aria-label={`${stop}: ${job.title}`}
      >
        {stopping ? 'Stopping…' : stop}
      </button>
      {cancel.isError && <p className="field-error">{describeError(cancel.error)}</p>}
    </div>
  );
}
