import { availableParallelism } from 'node:os';
import { MessageChannel, type MessagePort, Worker } from 'node:worker_threads';
import { type ChunkKernel, type ChunkSums, ONE_THREAD, type SumThreads } from '../../analytics/numeric/chunk-sums.ts';
import {
  CLOSED,
  CONTROL_LENGTH,
  DONE,
  FAILED,
  HELPED,
  NEXT,
  ROUND,
  type SharedSums,
  type SumRequest,
  takeChunks,
  WANTED,
} from './sum-control.ts';

/** A second thread takes about 50 ms to start and some more to share the rows: as long as a few steps of a fit of so many. */
const LEAST_WORK = 200_000;

/** A chunk takes milliseconds. */
const LONGEST_CHUNK_MS = 120_000;

/** Worker threads run compiled code; under a test runner this file is source, and its build stands in dist. */
const WORKER_URL = import.meta.url.endsWith('.ts')
  ? new URL('../../dist/server/jobs/sum-worker.js', import.meta.url)
  : new URL('./sum-worker.js', import.meta.url);

/**
 * Sums by this thread and a second one, where there is so much to sum that it pays and a processor to run it.
 * `helped` is told, at the end of each fit that was shared, how many chunks the second thread summed.
 */
export const twoThreads = (leastWork = LEAST_WORK, helped?: (chunks: number) => void): SumThreads => ({
  withSums(maker, input, work) {
    if (maker.work(input) < leastWork || availableParallelism() < 2) return ONE_THREAD.withSums(maker, input, work);
    const given = shareable(input);
    const kernel = maker.make(given);
    const memory = sharedSums(kernel);
    askSecondThread({ ...memory, maker: maker.name, input: given });
    try {
      return work(sumsByTwo(kernel, memory));
    } finally {
      Atomics.store(memory.control, CLOSED, 1);
      Atomics.add(memory.control, ROUND, 1);
      Atomics.notify(memory.control, ROUND);
      helped?.(Atomics.load(memory.control, HELPED));
    }
  },
});

export const TWO_THREADS = twoThreads();

interface SecondThread {
  readonly port: MessagePort;
  /** Counts the requests; the thread sleeps on it. */ readonly rings: Int32Array;
}

let secondThread: SecondThread | null = null;

/** The thread is started once and serves all sums of this one, which goes on meanwhile. */
function askSecondThread(request: SumRequest): void {
  secondThread ??= startSecondThread();
  secondThread.port.postMessage(request);
  Atomics.add(secondThread.rings, 0, 1);
  Atomics.notify(secondThread.rings, 0);
}

function startSecondThread(): SecondThread {
  const { port1, port2 } = new MessageChannel();
  const rings = new Int32Array(shared(4));
  const worker = new Worker(WORKER_URL, { workerData: { port: port2, rings }, transferList: [port2] });
  // One that cannot start has taken no chunk, and this thread sums them all.
  worker.once('error', () => {
    secondThread = null;
  });
  worker.unref();
  port1.unref();
  return { port: port1, rings };
}

const shared = (bytes: number): SharedArrayBuffer => new SharedArrayBuffer(bytes);

function sharedSums({ chunks, sumLength, pointLength }: ChunkKernel): SharedSums {
  return {
    control: new Int32Array(shared(4 * CONTROL_LENGTH)),
    point: new Float64Array(shared(8 * pointLength)),
    sums: new Float64Array(shared(8 * chunks * sumLength)),
  };
}

/** This thread sums too, and all of it while the second is still starting. */
function sumsByTwo(kernel: ChunkKernel, shared: SharedSums): ChunkSums {
  const { control, point, sums } = shared;
  return (wanted, at) => {
    point.set(at);
    control[WANTED] = wanted;
    Atomics.store(control, DONE, 0);
    Atomics.store(control, NEXT, 0);
    Atomics.add(control, ROUND, 1);
    Atomics.notify(control, ROUND);
    takeChunks(kernel, shared);
    for (let done = 0; done < kernel.chunks; done = Atomics.load(control, DONE)) {
      const woken = Atomics.wait(control, DONE, done, LONGEST_CHUNK_MS);
      if (woken === 'timed-out' || Atomics.load(control, FAILED) === 1)
        throw new Error('The second thread of a sum failed; run it again');
    }
    return sums;
  };
}

/** Plain data with its typed arrays in memory that threads can share: copies of those that are not. */
function shareable<T>(value: T): T {
  const copy = (part: unknown): unknown => {
    if (ArrayBuffer.isView(part) && part.buffer instanceof SharedArrayBuffer) return part;
    if (part instanceof Float64Array) return copied(part, new Float64Array(shared(part.byteLength)));
    if (part instanceof Int32Array) return copied(part, new Int32Array(shared(part.byteLength)));
    if (part instanceof Uint8Array) return copied(part, new Uint8Array(shared(part.byteLength)));
    if (typeof part !== 'object' || part === null) return part;
    if (Array.isArray(part)) return part.map(copy);
    return Object.fromEntries(Object.entries(part).map(([key, inner]) => [key, copy(inner)]));
  };
  return copy(value) as T;
}

function copied<A extends Float64Array | Int32Array | Uint8Array>(from: A, to: A): A {
  to.set(from);
  return to;
}
