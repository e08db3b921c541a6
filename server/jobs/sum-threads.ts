import { availableParallelism } from 'node:os';
import { MessageChannel, Worker } from 'node:worker_threads';
import {
  type ChunkKernel,
  type ChunkSums,
  chunkSumsOf,
  ONE_THREAD,
  type SumThreads,
} from '../../analytics/numeric/chunk-sums.ts';
import { compiled } from '../compiled.ts';
import {
  allSummed,
  CLOSED,
  CONTROL_LENGTH,
  DONE,
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

/** A chunk takes milliseconds, on a busy machine some hundred. */
const LONGEST_CHUNK_MS = 5000;

const WORKER_URL = compiled('jobs/sum-worker.js');

export interface SecondThreadOptions {
  /** Less than this is summed by one thread. */ readonly leastWork?: number;
  /** Told, at the end of each fit that was shared, how many chunks the second thread summed. */
  readonly helped?: (chunks: number) => void;
  readonly workerUrl?: URL;
  /** A second thread that keeps a chunk for longer is given up. */ readonly longestChunkMs?: number;
}

/**
 * Sums by this thread and a second one, where there is so much to sum that it pays and a processor to run it. When the second
 * fails or dies this one goes on alone, to the same bits.
 */
export function twoThreads({
  leastWork = LEAST_WORK,
  helped,
  workerUrl = WORKER_URL,
  longestChunkMs = LONGEST_CHUNK_MS,
}: SecondThreadOptions = {}): SumThreads {
  return {
    withSums(maker, input, work) {
      if (maker.work(input) < leastWork || availableParallelism() < 2) return ONE_THREAD.withSums(maker, input, work);
      const given = shareable(input);
      const kernel = maker.make(given);
      const memory = sharedSums(kernel);
      const second = secondThread(workerUrl);
      second.ask({ ...memory, maker: maker.name, input: given });
      try {
        return work(sumsByTwo(kernel, memory, { longestChunkMs, giveUp: second.end }));
      } finally {
        Atomics.store(memory.control, CLOSED, 1);
        Atomics.add(memory.control, ROUND, 1);
        Atomics.notify(memory.control, ROUND);
        helped?.(Atomics.load(memory.control, HELPED));
      }
    },
  };
}

export const TWO_THREADS = twoThreads();

interface SecondThread {
  /** It starts to help while this thread goes on. */ readonly ask: (request: SumRequest) => void;
  readonly end: () => void;
}

/** Started once each, they serve all sums of this thread. */
const secondThreads = new Map<string, SecondThread>();

function secondThread(workerUrl: URL): SecondThread {
  const running = secondThreads.get(workerUrl.href) ?? startSecondThread(workerUrl);
  secondThreads.set(workerUrl.href, running);
  return running;
}

function startSecondThread(workerUrl: URL): SecondThread {
  const { port1, port2 } = new MessageChannel();
  // Counts the requests; the thread sleeps on it.
  const rings = new Int32Array(shared(4));
  const worker = new Worker(workerUrl, { workerData: { port: port2, rings }, transferList: [port2] });
  const forget = (): void => {
    secondThreads.delete(workerUrl.href);
  };
  // One that cannot start has taken no chunk, and this thread sums them all; the next sum tries another.
  worker.once('error', forget);
  worker.once('exit', forget);
  worker.unref();
  port1.unref();
  return {
    ask(request) {
      port1.postMessage(request);
      Atomics.add(rings, 0, 1);
      Atomics.notify(rings, 0);
    },
    end() {
      forget();
      void worker.terminate();
    },
  };
}

const shared = (bytes: number): SharedArrayBuffer => new SharedArrayBuffer(bytes);

function sharedSums({ chunks, sumLength, pointLength }: ChunkKernel): SharedSums {
  return {
    control: new Int32Array(shared(4 * CONTROL_LENGTH)),
    point: new Float64Array(shared(8 * pointLength)),
    sums: new Float64Array(shared(8 * chunks * sumLength)),
  };
}

/** This thread sums too, and all of it while the second is still starting, or once it was given up. */
function sumsByTwo(
  kernel: ChunkKernel,
  shared: SharedSums,
  { longestChunkMs, giveUp }: { readonly longestChunkMs: number; readonly giveUp: () => void },
): ChunkSums {
  const { control, point, sums } = shared;
  let alone: ChunkSums | null = null;
  return (wanted, at) => {
    if (alone) return alone(wanted, at);
    point.set(at);
    control[WANTED] = wanted;
    Atomics.store(control, DONE, 0);
    Atomics.store(control, NEXT, 0);
    Atomics.add(control, ROUND, 1);
    Atomics.notify(control, ROUND);
    takeChunks(kernel, shared);
    if (allSummed(control, kernel.chunks, longestChunkMs)) return sums;
    // In memory of its own: one that is only slow may still write into the other.
    giveUp();
    alone = chunkSumsOf(kernel);
    return alone(wanted, at);
  };
}

/** Plain data with its typed arrays in memory that threads can share: copies of those that are not. */
function shareable<T>(value: T): T {
  const copy = (part: unknown): unknown => {
    if (ArrayBuffer.isView(part) && part.buffer instanceof SharedArrayBuffer) return part;
    if (part instanceof Float64Array) return copied(part, new Float64Array(shared(part.byteLength)));
    if (part instanceof Float32Array) return copied(part, new Float32Array(shared(part.byteLength)));
    if (part instanceof Int32Array) return copied(part, new Int32Array(shared(part.byteLength)));
    if (part instanceof Uint8Array) return copied(part, new Uint8Array(shared(part.byteLength)));
    if (typeof part !== 'object' || part === null) return part;
    if (Array.isArray(part)) return part.map(copy);
    return Object.fromEntries(Object.entries(part).map(([key, inner]) => [key, copy(inner)]));
  };
  return copy(value) as T;
}

function copied<A extends Float64Array | Float32Array | Int32Array | Uint8Array>(from: A, to: A): A {
  to.set(from);
  return to;
}
