import { randomUUID } from 'node:crypto';
import { Worker } from 'node:worker_threads';
import { compiled } from '../compiled.ts';
import type { Job } from '../schemas/job.ts';
import type { Store } from '../store/store.ts';
import type { WorkerMessage, WorkerStart } from './job-messages.ts';
import type { TaskInput } from './task.ts';

type JobRequest = Pick<Job, 'kind' | 'title' | 'loadId' | 'scenarioId' | 'planId'> & {
  /** Given where it is written down before the work begins. */ readonly id?: string;
  /** What kind and load do not say already. */ readonly input?: TaskInput;
};
type Watcher = (job: Job) => void;

interface Active {
  job: Job;
  readonly input: TaskInput;
  readonly cancelFlag: Int32Array;
  readonly watchers: Set<Watcher>;
  worker: Worker | null;
  /** Ends work that does not look. */ deadline: NodeJS.Timeout | null;
}

export interface JobRunnerParts {
  readonly store: Store;
  readonly databasePath: string;
  readonly dataFolder: string;
  /** Day of each run, ISO; read again for each, since a server runs for months. */ readonly today?: () => string;
  /** Called when a job has ended; what it starts runs after it. */ readonly afterJob?: (job: Job) => Promise<void>;
}

/** Work that does not look at its cancel flag within this time is ended from outside; its transaction rolls back. */
const CANCEL_GRACE_MS = 5_000;

/**
 * Room for short-lived objects on a worker thread, twice as much as usual: reading a large network makes a million of
 * them, and each time the room is full those still in use are copied. More would save little time and cost memory.
 */
const YOUNG_OBJECTS_MB = 96;

const WORKER_URL = compiled('jobs/job-worker.js');

/**
 * Runs long work one piece at a time on a worker thread, so that the request thread stays free. How far a running job
 * is lives in memory; its start and end are stored, so that a restart can say what was interrupted.
 */
export class JobRunner {
  readonly #parts: JobRunnerParts;
  readonly #active = new Map<string, Active>();
  #running: Promise<void> = Promise.resolve();
  #closing = false;

  constructor(parts: JobRunnerParts) {
    this.#parts = parts;
  }

  async start({ id = randomUUID(), kind, title, loadId, scenarioId, planId, input }: JobRequest): Promise<Job> {
    const job: Job = {
      id,
      kind,
      state: 'queued',
      title,
      step: 'Waiting for its turn',
      progress: 0,
      loadId,
      ...(scenarioId === undefined ? {} : { scenarioId }),
      ...(planId === undefined ? {} : { planId }),
      error: null,
      createdAt: new Date().toISOString(),
      finishedAt: null,
    };
    const active: Active = {
      job,
      input: input ?? taskInput(job),
      cancelFlag: new Int32Array(new SharedArrayBuffer(4)),
      watchers: new Set(),
      worker: null,
      deadline: null,
    };
    if (kind !== 'evidence') await this.#stopTests();
    this.#active.set(job.id, active);
    await this.#parts.store.saveJob(job).catch((error: unknown) => {
      this.#active.delete(job.id);
      throw error;
    });
    this.#running = this.#running.then(() => this.#runToItsEnd(active));
    return job;
  }

  /** True while any job waits or runs. */
  get busy(): boolean {
    return this.#active.size > 0;
  }

  /** Asks a job to stop. One that has ended is answered as it is. */
  async cancel(id: string): Promise<Job> {
    const active = this.#active.get(id);
    if (active) {
      Atomics.add(active.cancelFlag, 0, 1);
      if (active.job.state === 'queued') await this.#finish(active, { state: 'cancelled', step: 'Cancelled' });
      else active.deadline ??= setTimeout(() => active.worker?.terminate(), CANCEL_GRACE_MS).unref();
    }
    return this.#active.get(id)?.job ?? this.#stored(id);
  }

  async find(id: string): Promise<Job | null> {
    return this.#active.get(id)?.job ?? this.#parts.store.findJob(id);
  }

  /** Newest first. */
  async list(limit: number): Promise<Job[]> {
    const stored = await this.#parts.store.listJobs(limit);
    return stored.map((job) => this.#active.get(job.id)?.job ?? job);
  }

  /** Calls `watcher` at each change until the job ends. @returns a function that stops watching */
  watch(id: string, watcher: Watcher): () => void {
    const watchers = this.#active.get(id)?.watchers;
    watchers?.add(watcher);
    return () => watchers?.delete(watcher);
  }

  /** Resolves when the job has ended. */
  async ended(id: string): Promise<Job> {
    const active = this.#active.get(id);
    if (!active) return this.#stored(id);
    return new Promise((resolve) => {
      const watcher: Watcher = (job) => {
        if (job.finishedAt) resolve(job);
      };
      active.watchers.add(watcher);
    });
  }

  /** Cancels what runs and waits until nothing does. */
  async close(): Promise<void> {
    this.#closing = true;
    for (const { job } of this.#active.values()) await this.cancel(job.id);
    // What a job's end started stands behind it in the queue.
    for (let last: Promise<void> | null = null; last !== this.#running; await last) last = this.#running;
  }

  /** Testing a model takes minutes and nobody waits for it: it steps aside at once for work that people asked for. */
  async #stopTests(): Promise<void> {
    for (const active of [...this.#active.values()]) {
      if (active.job.kind !== 'evidence') continue;
      await this.cancel(active.job.id);
      void active.worker?.terminate();
    }
  }

  /** Whatever happens to one job, also to writing down its end, the next one gets its turn. */
  async #runToItsEnd(active: Active): Promise<void> {
    try {
      await this.#run(active);
    } catch (error) {
      const message = error instanceof Error ? error.message : String(error);
      await this.#finish(active, { state: 'failed', step: 'Failed', error: message }).catch(() => undefined);
    }
    if (!this.#closing)
      await this.#parts.afterJob?.(active.job).catch((error: unknown) => {
        console.error(`After the job ${active.job.title}:`, error);
      });
  }

  async #run(active: Active): Promise<void> {
    if (active.job.finishedAt) return;
    if (this.#closing) return this.#finish(active, { state: 'cancelled', step: 'Cancelled' });
    this.#tell(active, { state: 'running', step: 'Starting' });
    const message = await this.#work(active);
    if (message.type === 'done')
      return this.#finish(active, { state: 'done', step: message.step, progress: 1, error: null });
    const state = message.type === 'failed' ? 'failed' : 'cancelled';
    const error = message.type === 'failed' ? message.message : null;
    await this.#endLoad(active.job, state, error);
    return this.#finish(active, { state, step: state === 'failed' ? 'Failed' : 'Cancelled', error });
  }

  #work(active: Active): Promise<WorkerMessage> {
    const start: WorkerStart = {
      input: active.input,
      databasePath: this.#parts.databasePath,
      dataFolder: this.#parts.dataFolder,
      today: this.#parts.today?.() ?? new Date().toISOString().slice(0, 10),
      cancelFlag: active.cancelFlag,
    };
    return new Promise((resolve) => {
      let last: WorkerMessage | null = null;
      const worker = new Worker(WORKER_URL, {
        workerData: start,
        resourceLimits: { maxYoungGenerationSizeMb: YOUNG_OBJECTS_MB },
      });
      active.worker = worker;
      worker.on('message', (message: WorkerMessage) => {
        if (message.type === 'progress') this.#tell(active, { step: message.step, progress: message.share });
        else if (message.type === 'heard') this.#giveTime(active);
        else last = message;
      });
      worker.on('error', (error) => {
        last = { type: 'failed', message: error instanceof Error ? error.message : String(error) };
      });
      worker.on('exit', () => resolve(last ?? this.#withoutWord(active)));
    });
  }

  /** Work that looks ends by itself and may write down what it has; asked again, or on closing, it has no more time. */
  #giveTime(active: Active): void {
    if (this.#closing || !active.deadline) return;
    clearTimeout(active.deadline);
    active.deadline = null;
  }

  async #stored(id: string): Promise<Job> {
    const job = await this.#parts.store.findJob(id);
    if (!job) throw new Error(`No job ${id}`);
    return job;
  }

  #withoutWord(active: Active): WorkerMessage {
    if (Atomics.load(active.cancelFlag, 0) > 0) return { type: 'cancelled' };
    return { type: 'failed', message: 'The work ended without an answer; nothing of it was kept.' };
  }

  async #endLoad(job: Job, state: 'failed' | 'cancelled', error: string | null): Promise<void> {
    const load = job.loadId ? await this.#parts.store.findLoad(job.loadId) : null;
    // A load that was previewed again already belongs to a later job.
    if (load && load.jobId === job.id && load.state !== 'done')
      await this.#parts.store.saveLoad({ ...load, state, error });
  }

  async #finish(active: Active, change: Partial<Job>): Promise<void> {
    active.job = { ...active.job, ...change, finishedAt: new Date().toISOString() };
    try {
      await this.#parts.store.saveJob(active.job);
    } finally {
      this.#active.delete(active.job.id);
      for (const watcher of active.watchers) watcher(active.job);
      active.watchers.clear();
    }
  }

  #tell(active: Active, change: Partial<Job>): void {
    active.job = { ...active.job, ...change };
    for (const watcher of active.watchers) watcher(active.job);
  }
}

function taskInput({ kind, loadId }: Job): TaskInput {
  if (kind === 'adopt' || kind === 'comparison' || kind === 'prior-trial' || kind === 'program' || kind === 'closures')
    throw new Error(`A ${kind} job needs its input`);
  if (kind === 'forecast' || kind === 'budget' || kind === 'evidence') return { kind };
  if (!loadId) throw new Error(`A ${kind} job needs its load`);
  return { kind, loadId };
}
