import type { JobRunner } from '../jobs/job-runner.ts';
import type { EvidenceReport } from '../schemas/evidence.ts';
import type { Job } from '../schemas/job.ts';
import type { Store } from '../store/store.ts';

/** Under what the store keeps evidence: the number rises when its form changes, so that older evidence is made anew. */
export const EVIDENCE = 'evidence/2';

/** Evidence of a model version; without one, of the model in use, or else of the newest that has any. null: none. */
export async function readEvidence(store: Store, modelVersion?: number): Promise<EvidenceReport | null> {
  const wanted = modelVersion ?? (await store.modelVersion()) ?? undefined;
  const found = await store.readDocument(EVIDENCE, wanted);
  const other = found === null && modelVersion === undefined ? await store.readDocument(EVIDENCE) : null;
  return (found ?? other) as EvidenceReport | null;
}

export const startEvidence = (jobs: JobRunner): Promise<Job> =>
  jobs.start({ kind: 'evidence', title: 'Test the model against what was found', loadId: null });
