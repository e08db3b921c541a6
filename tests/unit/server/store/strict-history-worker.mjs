import { parentPort, workerData } from 'node:worker_threads';

// The real thread, which fails as soon as it has sent more batches ahead than it may.
const AHEAD = 0;
const send = parentPort.postMessage.bind(parentPort);
parentPort.postMessage = (text) => {
  const ahead = Atomics.load(workerData.control, AHEAD);
  if (ahead > workerData.mostAhead) throw new Error(`${ahead} batches ahead`);
  send(text);
};
await import('../../../../dist/server/store/sqlite/history-worker.js');
