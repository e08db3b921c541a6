import type { Job } from '../../../../server/schemas/job.ts';
import type { Load } from '../../../../server/schemas/load.ts';

export const job = (id: string, change: Partial<Job> = {}): Job => ({
  id,
  kind: 'forecast',
  state: 'running',
  title: 'Forecast',
  step: 'fitting',
  progress: 0.5,
  loadId: null,
  error: null,
  createdAt: '2024-06-01T10:00:00Z',
  finishedAt: null,
  ...change,
});

export const loadRecord = (id: string, state: Load['state']): Load => ({
  id,
  state,
  jobId: null,
  choices: [],
  files: [],
  result: null,
  createdAt: '2024-06-01T10:00:00Z',
  error: null,
});
