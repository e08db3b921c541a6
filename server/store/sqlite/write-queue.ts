import { setTimeout as sleep } from 'node:timers/promises';
import { StoreError } from '../errors.ts';

const FIRST_PAUSE_MS = 10;
const LONGEST_PAUSE_MS = 100;

const isBusy = (error: unknown): boolean =>
  error instanceof Error && 'code' in error && String(error.code).startsWith('SQLITE_BUSY');

/**
 * Tries a write until no other transaction holds the write lock, pausing without blocking the thread, so that a server
 * goes on answering while a worker loads.
 * @throws StoreError `busy` after `limitMs`
 */
export async function untilFree<T>(write: () => T, limitMs: number): Promise<T> {
  const giveUpAt = performance.now() + limitMs;
  for (let pauseMs = FIRST_PAUSE_MS; ; pauseMs = Math.min(pauseMs * 2, LONGEST_PAUSE_MS)) {
    try {
      return write();
    } catch (error) {
      if (!isBusy(error)) throw error;
      if (performance.now() > giveUpAt) {
        const waited = Math.round(limitMs / 1000);
        throw new StoreError('busy', `Another load or forecast was still being written after ${waited} s. Try again.`, {
          cause: error,
        });
      }
    }
    await sleep(pauseMs);
  }
}

/** Writes of one store in the order in which they were asked for, so an older job state never lands on a newer one. */
export class WriteQueue {
  readonly #limitMs: number;
  #last: Promise<unknown> = Promise.resolve();

  constructor(limitMs: number) {
    this.#limitMs = limitMs;
  }

  add<T>(write: () => T): Promise<T> {
    const turn = this.#last.then(() => untilFree(write, this.#limitMs));
    this.#last = turn.catch(() => undefined);
    return turn;
  }

  async settled(): Promise<void> {
    await this.#last;
  }
}
