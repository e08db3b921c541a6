import type { ChunkKernel } from '../../analytics/numeric/chunk-sums.ts';

/** Places in the numbers by which two threads steer one sum. */
export const ROUND = 0;
export const WANTED = 1;
export const NEXT = 2;
export const DONE = 3;
export const FAILED = 4;
/** Above 0 once the sum is no longer needed. */
export const CLOSED = 5;
/** Chunks that the second thread has summed. */
export const HELPED = 6;
export const CONTROL_LENGTH = 7;

/** Memory that both threads see. */
export interface SharedSums {
  readonly control: Int32Array;
  readonly point: Float64Array;
  readonly sums: Float64Array;
}

/** What the second thread is asked to help with. */
export interface SumRequest extends SharedSums {
  readonly maker: string;
  readonly input: unknown;
}

/** Tells the thread that waits for this one's chunk that it will not come. */
export function failSum(control: Int32Array): void {
  Atomics.store(control, FAILED, 1);
  Atomics.add(control, DONE, 1);
  Atomics.notify(control, DONE);
}

/** Waits until every chunk is summed. @returns false: the other thread failed, or kept its chunk for too long */
export function allSummed(control: Int32Array, chunks: number, longestChunkMs: number): boolean {
  for (;;) {
    const done = Atomics.load(control, DONE);
    // Read after: a thread that fails says so before it counts its chunk.
    if (Atomics.load(control, FAILED) === 1) return false;
    if (done >= chunks) return true;
    if (Atomics.wait(control, DONE, done, longestChunkMs) === 'timed-out') return false;
  }
}

/** Sums chunks that nobody has taken yet, until none is left. @returns how many it took */
export function takeChunks({ chunks, sumLength, sumChunk }: ChunkKernel, { control, point, sums }: SharedSums): number {
  for (let taken = 0; ; taken++) {
    const chunk = Atomics.add(control, NEXT, 1);
    if (chunk >= chunks) return taken;
    sumChunk(chunk, control[WANTED], point, sums, chunk * sumLength);
    Atomics.add(control, DONE, 1);
    Atomics.notify(control, DONE);
  }
}
