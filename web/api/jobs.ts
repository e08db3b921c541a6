import type { Job } from '../../server/schemas/job.ts';
import { apiUrl, requestJson } from './request.ts';

const jobPath = (id: string): string => `/jobs/${encodeURIComponent(id)}`;

/** The last 20 jobs, newest first. */
export const fetchJobs = (signal?: AbortSignal) => requestJson<Job[]>('/jobs', { signal });

export const fetchJob = (id: string, signal?: AbortSignal) => requestJson<Job>(jobPath(id), { signal });

/** Asks the job to stop; nothing of it is kept. */
export const cancelJob = (id: string) => requestJson<Job>(`${jobPath(id)}/cancel`, { method: 'POST' });

/**
 * Hears of a job at each change, by server-sent events. The browser connects again by itself after a break;
 * `onLost` tells when it has given up.
 * @returns a function that stops listening
 */
export function followJob(id: string, onJob: (job: Job) => void, onLost: () => void): () => void {
  const events = new EventSource(apiUrl(`${jobPath(id)}/events`));
  events.addEventListener('job', (event) => {
    const job = JSON.parse(event.data as string) as Job;
    // The server closes the stream when the job ends; without this the browser would open it again.
    if (job.state !== 'queued' && job.state !== 'running') events.close();
    onJob(job);
  });
  events.addEventListener('error', () => {
    if (events.readyState === EventSource.CLOSED) onLost();
  });
  return () => events.close();
}
