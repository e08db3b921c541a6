import { parentPort, workerData } from 'node:worker_threads';
import { openSqliteStore } from '../store/sqlite/open.ts';
import type { WorkerMessage, WorkerStart } from './job-messages.ts';
import { runTask } from './run-task.ts';
import { TaskCancelled } from './task.ts';

/** Progress within one step is told at most this often, so that the main thread has time for people. */
const PROGRESS_EVERY_MS = 100;

const start = workerData as WorkerStart;
const tell = (message: WorkerMessage) => parentPort?.postMessage(message);
let toldAt = 0;
let toldSubject = '';
/** What a step is about, without its counts: "Checking seals.csv: 400 rows" is one step. */
const subject = (step: string): string => step.replace(/:.*$/, '');

const store = openSqliteStore(start.databasePath, { check: false });
try {
  await runTask(start.input, {
    store,
    dataFolder: start.dataFolder,
    today: start.today,
    cancelled: () => Atomics.load(start.cancelFlag, 0) === 1,
    progress: (share, step) => {
      const now = Date.now();
      if (now - toldAt < PROGRESS_EVERY_MS && subject(step) === toldSubject) return;
      toldAt = now;
      toldSubject = subject(step);
      tell({ type: 'progress', share, step });
    },
  });
  await store.close();
  tell({ type: 'done' });
} catch (error) {
  await store.close();
  if (error instanceof TaskCancelled) tell({ type: 'cancelled' });
  else tell({ type: 'failed', message: error instanceof Error ? error.message : String(error) });
}
