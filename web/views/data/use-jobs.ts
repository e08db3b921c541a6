import { type QueryClient, queryOptions, useMutation, useQuery, useQueryClient } from '@tanstack/react-query';
import { useEffect } from 'react';
import type { Job } from '../../../server/schemas/job.ts';
import { cancelJob, fetchJobs, followJob } from '../../api/jobs.ts';
import { activeJobs, changesRecords, isActive, mergeJob } from '../../state/jobs.ts';

const JOBS_KEY = ['jobs'] as const;
/** Finds jobs that another window or the command line has started, and makes good a lost stream of events. */
const LOOK_AGAIN_MS = 20_000;

export const jobsQuery = queryOptions({
  queryKey: JOBS_KEY,
  queryFn: ({ signal }) => fetchJobs(signal),
  refetchInterval: LOOK_AGAIN_MS,
});

/** One stream of events for each job, however many parts of the screen look at it. */
const streams = new Map<string, { listeners: number; stop: () => void }>();

/** Puts news of a job in the list that every screen reads, and asks again for what it has changed. */
export function tellJob(client: QueryClient, job: Job): void {
  client.setQueryData<Job[]>(JOBS_KEY, (jobs) => mergeJob(jobs ?? [], job));
  if (isActive(job)) return;
  if (changesRecords(job)) void client.invalidateQueries();
  else void client.invalidateQueries({ queryKey: ['loads'] });
}

function listen(client: QueryClient, id: string): () => void {
  const known = streams.get(id);
  const stream = known ?? {
    listeners: 0,
    stop: followJob(
      id,
      (job) => tellJob(client, job),
      () => void client.invalidateQueries({ queryKey: JOBS_KEY }),
    ),
  };
  stream.listeners += 1;
  streams.set(id, stream);
  return () => {
    stream.listeners -= 1;
    if (stream.listeners > 0) return;
    stream.stop();
    streams.delete(id);
  };
}

/** The last jobs, newest first. Running ones are followed live, also those started before the page was opened. */
export function useJobs(): readonly Job[] {
  const client = useQueryClient();
  const { data = [] } = useQuery(jobsQuery);
  const activeIds = activeJobs(data)
    .map(({ id }) => id)
    .sort()
    .join(' ');
  useEffect(() => {
    const stops = activeIds === '' ? [] : activeIds.split(' ').map((id) => listen(client, id));
    return () => {
      for (const stop of stops) stop();
    };
  }, [client, activeIds]);
  return data;
}

/** Starts a job with `start`; it then appears in the list and is followed. */
export function useStartJob<Input = void>(start: (input: Input) => Promise<Job>) {
  const client = useQueryClient();
  return useMutation({ mutationFn: start, onSuccess: (job) => tellJob(client, job) });
}

export function useCancelJob() {
  const client = useQueryClient();
  return useMutation({ mutationFn: cancelJob, onSuccess: (job) => tellJob(client, job) });
}
