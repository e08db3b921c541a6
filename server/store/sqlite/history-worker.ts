import { parentPort, workerData } from 'node:worker_threads';
import { historyTexts } from './history-texts.ts';
import { AHEAD, type HistoryMessage, type HistoryRequest, STOPPED } from './history-thread.ts';

/* Reads histories for another thread, a few batches ahead of it, until the end or until it is told to stop. */

const { path, control, mostAhead } = workerData as HistoryRequest;

const tell = (message: HistoryMessage): void => parentPort?.postMessage(message);

/** @returns false: nobody waits for more */
function waitForRoom(): boolean {
  for (;;) {
    const ahead = Atomics.load(control, AHEAD);
    if (Atomics.load(control, STOPPED) === 1) return false;
    if (ahead < mostAhead) return true;
    Atomics.wait(control, AHEAD, ahead);
  }
}

function sendAll(): boolean {
  for (const text of historyTexts(path)) {
    if (!waitForRoom()) return false;
    Atomics.add(control, AHEAD, 1);
    tell(text);
  }
  return true;
}

try {
  if (sendAll()) tell(null);
} catch (error) {
  // As a text: what the driver throws loses its words on the way to another thread.
  tell({ failure: error instanceof Error ? error.message : String(error) });
}
