import type { ComparisonRequest } from '../schemas/models.ts';
import type { Priors } from '../schemas/priors.ts';
import type { Store } from '../store/store.ts';

/** What long work is asked to do. */
export type TaskInput =
  | { readonly kind: 'preview'; readonly loadId: string }
  | { readonly kind: 'load'; readonly loadId: string }
  | { readonly kind: 'forecast' }
  | { readonly kind: 'budget' }
  | { readonly kind: 'adopt'; readonly version: number }
  | { readonly kind: 'comparison'; readonly request: ComparisonRequest }
  | { readonly kind: 'prior-trial'; readonly priors: Priors | null }
  | { readonly kind: 'evidence' }
  | { readonly kind: 'program'; readonly scenarioId: string }
  | { readonly kind: 'closures'; readonly planId: string };

/** What long work may touch: the store, the data folder, and whoever watches. */
export interface TaskContext {
  readonly store: Store;
  readonly dataFolder: string;
  /** ISO day of the run. */ readonly today: string;
  /** @param share 0-1 @param step what it is doing, in words */
  progress(share: number, step: string): void;
  /** Looked at often: true once somebody asked to stop. */
  cancelled(): boolean;
  /**
   * Says that the work heard and goes on to write down the best that it has: from then on `cancelled` is true only once
   * somebody has asked again.
   */
  keep(): void;
}

/** Thrown by long work that noticed it was cancelled, after undoing what it had begun. */
export class TaskCancelled extends Error {
  constructor() {
    super('Cancelled; nothing of it was kept.');
    this.name = 'TaskCancelled';
  }
}
