import type { Job } from '../../server/schemas/job.ts';

/** Whether a job makes the program of this scenario. */
export const isProgramJobOf = (job: Pick<Job, 'kind' | 'scenarioId'>, scenarioId: string): boolean =>
  job.kind === 'program' && job.scenarioId === scenarioId;
