import { Worker } from 'node:worker_threads';
import { compiled } from '../compiled.ts';
import type { FileRequest } from './program-file.ts';

/** Handed to a worker thread when it starts. */
export interface FileStart {
  readonly databasePath: string;
  readonly request: FileRequest;
}
export type FileAnswer = { readonly bytes: Uint8Array } | { readonly fault: string };

const WORKER_URL = compiled('exports/file-worker.js');

/** Makes workbooks and reports on a worker thread, one at a time: a list of 200,000 works takes some ten seconds. */
export class FileMaker {
  readonly #databasePath: string;
  #last: Promise<unknown> = Promise.resolve();

  constructor(databasePath: string) {
    this.#databasePath = databasePath;
  }

  /** @throws Error when the file could not be made */
  make(request: FileRequest): Promise<Buffer> {
    const made = this.#last.then(() => this.#work(request));
    this.#last = made.catch(() => undefined);
    return made;
  }

  #work(request: FileRequest): Promise<Buffer> {
    const start: FileStart = { databasePath: this.#databasePath, request };
    return new Promise((resolve, reject) => {
      let answer: FileAnswer = { fault: 'The work ended without an answer.' };
      const worker = new Worker(WORKER_URL, { workerData: start });
      worker.on('message', (message: FileAnswer) => {
        answer = message;
      });
      worker.on('error', reject);
      worker.on('exit', () => {
        if ('bytes' in answer) resolve(Buffer.from(answer.bytes.buffer, answer.bytes.byteOffset, answer.bytes.length));
        else reject(new Error(`A file was not made: ${answer.fault}`));
      });
    });
  }
}
