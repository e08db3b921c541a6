import { useEffect, useRef, useState } from 'react';
import type { Job } from '../../../server/schemas/job.ts';
import { activeJobs, describeJob, isActive } from '../../state/jobs.ts';
import './jobs.css';
import { JobLine } from './job-line.tsx';
import { useJobs } from './use-jobs.ts';

const SHOWN_WHEN_DONE_MS = 12_000;

/** Long work, on every screen: what runs and how far, opens to cancel it; then how it ended. */
export function JobIndicator() {
  const jobs = useJobs();
  const running = activeJobs(jobs).filter(({ kind }) => kind !== 'preview');
  const [ended, forget] = useEnded(jobs);
  const [first] = running;
  return (
    <>
      <span className="unseen" role="status">
        {first ? `${first.title}: started` : ended ? describeJob(ended) : ''}
      </span>
      {first ? <RunningJobs jobs={running} /> : ended && <EndedJob job={ended} onDismiss={forget} />}
    </>
  );
}

function RunningJobs({ jobs }: { jobs: readonly Job[] }) {
  const [open, setOpen] = useState(false);
  const button = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    if (!open) return;
    const close = ({ key }: KeyboardEvent) => {
      if (key !== 'Escape') return;
      setOpen(false);
      button.current?.focus();
    };
    document.addEventListener('keydown', close);
    return () => document.removeEventListener('keydown', close);
  }, [open]);
  const [first] = jobs;
  const title = jobs.length > 1 ? `${first.title} and ${jobs.length - 1} more` : first.title;
  const percent = first.state === 'queued' ? 'waiting' : `${Math.floor(first.progress * 100)}\u00a0%`;
  return (
    <div className="job-indicator">
      <button
        ref={button}
        type="button"
        className="button"
        aria-expanded={open}
        aria-label={`${title}: ${percent}`}
        title={title}
        onClick={() => setOpen(!open)}
      >
        <progress
          className="progress"
          max={1}
          value={first.state === 'queued' ? undefined : first.progress}
          aria-hidden="true"
        />
        <span className="figures">{percent}</span>
      </button>
      {open && (
        <div className="job-panel stack">
          {jobs.map((job) => (
            <JobLine key={job.id} job={job} />
          ))}
        </div>
      )}
    </div>
  );
}

const EndedJob = ({ job, onDismiss }: { job: Job; onDismiss: () => void }) => (
  <div className="job-indicator job-ended small">
    <span className={`badge ${job.state === 'done' ? 'accent' : 'fault'}`}>{job.state}</span>
    <span className="job-ended-text" title={job.error ?? undefined}>
      {job.error ? `${job.title}: ${job.error}` : job.title}
    </span>
    <button type="button" className="button quiet" onClick={onDismiss} aria-label={`Dismiss: ${job.title}`}>
      ×
    </button>
  </div>
);

/** The job that ended while this page looked on. One that went well is forgotten after a while. */
function useEnded(jobs: readonly Job[]): [Job | null, () => void] {
  const watched = useRef(new Set<string>());
  const [ended, setEnded] = useState<Job | null>(null);
  useEffect(() => {
    for (const job of jobs) {
      if (job.kind === 'preview') continue;
      if (isActive(job)) watched.current.add(job.id);
      else if (watched.current.delete(job.id)) setEnded(job);
    }
  }, [jobs]);
  useEffect(() => {
    if (ended?.state !== 'done') return;
    const timer = setTimeout(() => setEnded(null), SHOWN_WHEN_DONE_MS);
    return () => clearTimeout(timer);
  }, [ended]);
  return [ended, () => setEnded(null)];
}
