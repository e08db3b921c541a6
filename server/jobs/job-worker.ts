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
/** How often somebody had asked to stop: what was told of hearing it, and what the work has dealt with. */
let [heard, dealtWith] = [0, 0];
/** Work that looks is given time to end as it likes. */
function cancelled(): boolean {
  const asked = Atomics.load(start.cancelFlag, 0);
  if (asked > heard) tell({ type: 'heard' });
  heard = asked;
  return asked > dealtWith;
}
try {
  const step = await runTask(start.input, {
    store,
    dataFolder: start.dataFolder,
    today: start.today,
    cancelled,
    keep: () => {
      dealtWith = heard;
    },
    progress: (share, step) => {
      const now = Date.now();
      if (now - toldAt < PROGRESS_EVERY_MS && subject(step) === toldSubject) return;
      toldAt = now;
      toldSubject = subject(step);
      tell({ type: 'progress', share, step });
    },
  });
  await store.close();
  tell({ type: 'done', step: step ?? 'Done' });
} catch (error) {
  await store.close();
  if (error instanceof TaskCancelled) tell({ type: 'cancelled' });
  else tell({ type: 'failed', message: error instanceof Error ? error.message : String(error) });
}
