import type { EvidenceExport, EvidenceReport } from '../../server/schemas/evidence.ts';
import type { Job } from '../../server/schemas/job.ts';
import { nullWhenMissing } from './missing.ts';
import { apiUrl, requestJson } from './request.ts';

/** How far the model can be trusted, of the newest version that was judged; null before the first time. */
export const fetchEvidence = (signal?: AbortSignal): Promise<EvidenceReport | null> =>
  nullWhenMissing(requestJson<EvidenceReport>('/evidence', { signal }));

/** Judges the current model, as a job. */
export const startEvidence = () => requestJson<Job>('/evidence', { method: 'POST' });

export const evidenceCsvUrl = (part: EvidenceExport, modelVersion: number): string =>
  apiUrl(`/export/evidence/${part}.csv`, { modelVersion });
