import type { Job } from '../../server/schemas/job.ts';
import type { Scenario } from '../../server/schemas/scenario.ts';

/** Whether a job makes the program of this scenario. */
export const isProgramJobOf = (job: Pick<Job, 'kind' | 'title'>, scenario: Pick<Scenario, 'name'>): boolean =>
  job.kind === 'program' && job.title.endsWith(scenario.name);
