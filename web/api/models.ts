import type { Job } from '../../server/schemas/job.ts';
import type { ComparisonRequest, ModelComparison, ModelVersions } from '../../server/schemas/models.ts';
import { requestJson } from './request.ts';

/** Every model that was fitted and kept, newest first. */
export const fetchModelVersions = (signal?: AbortSignal) => requestJson<ModelVersions>('/models', { signal });

/** Makes a stored version the current one again, as a job: forecast and budget follow from it. */
export const adoptVersion = (version: number) => requestJson<Job>(`/models/${version}/adopt`, { method: 'POST' });

/** The comparison that was made last; `madeAt` is null before the first. */
export const fetchComparison = (signal?: AbortSignal) => requestJson<ModelComparison>('/comparisons', { signal });

/** Fits and back-tests other models beside the present one, as a job. Nothing that is forecast changes. */
export const startComparison = (request: ComparisonRequest) =>
  requestJson<Job>('/comparisons', { method: 'POST', body: request });
