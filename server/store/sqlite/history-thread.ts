import { Worker } from 'node:worker_threads';
import { compiled } from '../../compiled.ts';
import type { HistoryText, Open } from './history-texts.ts';

/** Places in the numbers by which two threads steer one reading. */
export const AHEAD = 0;
/** Above 0 once nobody waits for more. */ export const STOPPED = 1;
const CONTROL_LENGTH = 2;

/** Batches that may wait to be taken: a few megabytes, and enough while the other thread is busy with something else. */
const MOST_AHEAD = 64;

export interface HistoryRequest {
  readonly path: string;
  /** Shared memory. */ readonly control: Int32Array;
  readonly mostAhead: number;
}

/** null: the end. A thread that ends without it has failed. */
export type HistoryMessage = HistoryText | { readonly failure: string } | null;

export interface HistoryThreadOptions {
  readonly workerUrl?: URL;
  readonly mostAhead?: number;
}

const WORKER_URL = compiled('store/sqlite/history-worker.js');

/**
 * The same as `historyTexts`, read by a second thread while this one works on what came before.
 * @param open the thread stops when the store is closed
 * @throws what stopped the thread
 */
export async function* textsByThread(
  path: string,
  open: Open,
  { workerUrl = WORKER_URL, mostAhead = MOST_AHEAD }: HistoryThreadOptions = {},
): AsyncGenerator<HistoryText> {
  const control = new Int32Array(new SharedArrayBuffer(4 * CONTROL_LENGTH));
  const worker = new Worker(workerUrl, { workerData: { path, control, mostAhead } satisfies HistoryRequest });
  const stop = {
    close(): void {
      Atomics.store(control, STOPPED, 1);
      Atomics.store(control, AHEAD, 0);
      Atomics.notify(control, AHEAD);
    },
  };
  open.add(stop);
  const mail = new Mail(worker);
  try {
    for (let text = await mail.next(); text !== null; text = await mail.next()) {
      Atomics.sub(control, AHEAD, 1);
      Atomics.notify(control, AHEAD);
      yield text;
    }
  } finally {
    stop.close();
    open.delete(stop);
    await mail.ended;
  }
}

/** What a thread sends, one by one. */
class Mail {
  /** When the thread is gone. */ readonly ended: Promise<void>;
  readonly #arrived: (HistoryText | null)[] = [];
  #failure: Error | null = null;
  #wake = (): void => {};

  constructor(worker: Worker) {
    worker.on('message', (message: HistoryMessage) => {
      if (message && 'failure' in message) this.#fail(new Error(message.failure));
      else this.#arrived.push(message);
      this.#wake();
    });
    worker.on('error', (error) => this.#fail(error));
    this.ended = new Promise((resolve) => {
      worker.once('exit', () => {
        this.#fail(new Error('The thread that reads the records ended early.'));
        resolve();
      });
    });
  }

  /** @returns null at the end @throws what ended the thread before */
  async next(): Promise<HistoryText | null> {
    for (;;) {
      const text = this.#arrived.shift();
      if (text !== undefined) return text;
      if (this.#failure) throw this.#failure;
      await new Promise<void>((resolve) => {
        this.#wake = resolve;
      });
    }
  }

  #fail(error: Error): void {
    this.#failure ??= error;
    this.#wake();
  }
}
