import { parentPort, workerData } from 'node:worker_threads';
import { openSqliteStore } from '../store/sqlite/open.ts';
import type { FileAnswer, FileStart } from './file-maker.ts';
import { programFile } from './program-file.ts';

const { databasePath, request } = workerData as FileStart;
const store = openSqliteStore(databasePath, { check: false });
const tell = (answer: FileAnswer) => parentPort?.postMessage(answer);
try {
  tell({ bytes: Uint8Array.from(await programFile(store, request)) });
} catch (error) {
  tell({ fault: error instanceof Error ? error.message : String(error) });
} finally {
  await store.close();
}
