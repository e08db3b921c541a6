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
  const [open, setOpen] = useState(false);
  const box = useRef<HTMLDivElement>(null);
  useEscape(open, () => {
    setOpen(false);
    box.current?.querySelector('button')?.focus();
  });
  const [first] = running;
  const news = first ? `${first.title}: started` : ended ? describeJob(ended) : '';
  return (
    <div className="job-indicator" ref={box}>
      <span className="unseen" role="status">
        {news}
      </span>
      {first && (
        <button type="button" className="button" aria-expanded={open} onClick={() => setOpen(!open)}>
          <progress
            className="progress"
            max={1}
            value={first.state === 'queued' ? undefined : first.progress}
            aria-label={first.title}
          />
          <span>
            {first.title}
            {running.length > 1 ? ` and ${running.length - 1} more` : ''}
          </span>
        </button>
      )}
      {first && open && (
        <div className="job-panel stack">
          {running.map((job) => (
            <JobLine key={job.id} job={job} />
          ))}
        </div>
      )}
      {!first && ended && (
        <span className="job-ended small">
          <span className={`badge ${ended.state === 'done' ? 'accent' : 'fault'}`}>{ended.state}</span>
          <span className="job-ended-text">{ended.error ? `${ended.title}: ${ended.error}` : ended.title}</span>
          <button type="button" className="button quiet" onClick={forget} aria-label={`Dismiss: ${ended.title}`}>
            ×
          </button>
        </span>
      )}
    </div>
  );
}

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

function useEscape(open: boolean, close: () => void): void {
  const latest = useRef(close);
  latest.current = close;
  useEffect(() => {
    if (!open) return;
    const onKey = ({ key }: KeyboardEvent) => key === 'Escape' && latest.current();
    document.addEventListener('keydown', onKey);
    return () => document.removeEventListener('keydown', onKey);
  }, [open]);
}
