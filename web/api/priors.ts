import type { Job } from '../../server/schemas/job.ts';
import type { Priors, PriorTable, PriorTrial } from '../../server/schemas/priors.ts';
import { requestJson } from './request.ts';

/** What is believed before any data, with what the data made of it. */
export const fetchPriors = (signal?: AbortSignal) => requestJson<PriorTable>('/priors', { signal });

/** The same table for beliefs that are not saved. */
export const fetchDraftPriors = (priors: Priors | null, signal?: AbortSignal) =>
  requestJson<PriorTable>('/priors/draft', { method: 'POST', body: { priors }, signal });

/** The newest trial of other beliefs; `madeAt` is null before the first. */
export const fetchPriorTrial = (signal?: AbortSignal) => requestJson<PriorTrial>('/priors/trials', { signal });

/** Fits with the saved beliefs and with these, as a job. No forecast changes. */
export const startPriorTrial = (priors: Priors | null) =>
  requestJson<Job>('/priors/trials', { method: 'POST', body: { priors } });
