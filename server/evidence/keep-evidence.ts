import type { JobRunner } from '../jobs/job-runner.ts';
import type { Job } from '../schemas/job.ts';
import type { Store } from '../store/store.ts';
import { EVIDENCE, startEvidence } from './stored-evidence.ts';

/** Starts the test of the model in use where it has none yet; without a model there is nothing to test. */
export async function ensureEvidence(store: Store, jobs: JobRunner): Promise<void> {
  const version = await store.modelVersion();
  if (version === null || (await store.readDocument(EVIDENCE, version)) !== null) return;
  await startEvidence(jobs);
}

/**
 * Tests each new model by itself once people's own work is done. Tests step aside for that work (see `JobRunner`), so this
 * also starts again what had to stop; a test that somebody cancelled starts again with the next job that ends.
 */
export async function evidenceAfter(ended: Job, store: Store, jobs: JobRunner): Promise<void> {
  if (ended.kind === 'evidence' || ended.kind === 'preview' || jobs.busy) return;
  await ensureEvidence(store, jobs);
}
