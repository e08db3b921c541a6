import type { JobRunner } from '../jobs/job-runner.ts';
import type { EvidenceReport } from '../schemas/evidence.ts';
import type { Job } from '../schemas/job.ts';
import type { Store } from '../store/store.ts';

/** Under what the store keeps evidence. */
export const EVIDENCE = 'evidence';

/** Evidence of a model version, or of the newest version that has any; null when there is none. */
export async function readEvidence(store: Store, modelVersion?: number): Promise<EvidenceReport | null> {
  return (await store.readDocument(EVIDENCE, modelVersion)) as EvidenceReport | null;
}

export const startEvidence = (jobs: JobRunner): Promise<Job> =>
  jobs.start({ kind: 'evidence', title: 'Test the model against what was found', loadId: null });
