import type { Job } from '../../server/schemas/job.ts';

const ACTIVE: readonly Job['state'][] = ['queued', 'running'];

/** True until the job has ended, in whatever way. */
export const isActive = (job: Pick<Job, 'state'>): boolean => ACTIVE.includes(job.state);

export const activeJobs = (jobs: readonly Job[]): Job[] => jobs.filter(isActive);

/**
 * Puts news of one job into a list that is newest first. An ended job is never set back to running: the answer of
 * a slow request may arrive after the event that said "done".
 */
export function mergeJob(jobs: readonly Job[], news: Job): Job[] {
  const known = jobs.find((job) => job.id === news.id);
  if (!known) return [news, ...jobs];
  if (!isActive(known) && isActive(news)) return [...jobs];
  return jobs.map((job) => (job.id === news.id ? news : job));
}

/** What screens must ask for again once the job has ended. A preview touches no record and no forecast. */
export const changesRecords = (job: Pick<Job, 'kind'>): boolean => job.kind !== 'preview';

/** Whether cancelling leaves the best found so far; of all other work nothing is kept. */
export const keepsBest = ({ kind }: Pick<Job, 'kind'>): boolean => kind === 'program' || kind === 'closures';

const ENDINGS: Record<Exclude<Job['state'], 'queued' | 'running'>, string> = {
  done: 'done',
  failed: 'failed',
  cancelled: 'cancelled; nothing of it was kept',
  interrupted: 'interrupted when the server stopped; nothing of it was kept',
};

/** One line on where a job stands: "Fitting the model: 42 %", "Loading files: failed. Disk full". */
export function describeJob(job: Job): string {
  if (job.state === 'queued') return `${job.title}: waiting`;
  if (job.state === 'running') {
    const step = job.step ? ` (${job.step})` : '';
    return `${job.title}: ${Math.floor(job.progress * 100)} %${step}`;
  }
  // What came of a search is told by its last step: solved, stopped with the best kept, or in conflict.
  const told = keepsBest(job) && job.state === 'done' ? job.step : ENDINGS[job.state];
  return `${job.title}: ${told}${job.error ? `. ${job.error}` : ''}`;
}
