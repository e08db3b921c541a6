/**
 * Sums over many rows at a point, cut into chunks whose bounds depend on the rows alone. Each chunk is summed on its own
 * and the sums are added in the order of the chunks, so the total has the same bits whichever thread summed which.
 */
export interface ChunkKernel {
  readonly chunks: number;
  readonly pointLength: number;
  /** Most numbers that one chunk's sums take. */ readonly sumLength: number;
  /** Writes the sums of one chunk at `point` into `out` from place `at` on. Which sums: `wanted`, the kernel's own number. */
  readonly sumChunk: (chunk: number, wanted: number, point: Float64Array, out: Float64Array, at: number) => void;
}

/** The sums of every chunk at a point, `sumLength` for each, in order; overwritten by the next call. */
export type ChunkSums = (wanted: number, point: Float64Array) => Float64Array;

/** All chunks, one after the other. */
export function chunkSumsOf(kernel: ChunkKernel): ChunkSums {
  const { chunks, sumLength, sumChunk } = kernel;
  const sums = new Float64Array(chunks * sumLength);
  return (wanted, point) => {
    for (let chunk = 0; chunk < chunks; chunk++) sumChunk(chunk, wanted, point, sums, chunk * sumLength);
    return sums;
  };
}

/** Makes the kernel again from plain data, so that another thread can have one of its own on the same memory. */
export interface KernelMaker<Input> {
  readonly name: string;
  /** How long all chunks take, in rows of a step of a fit of ages alone. */ readonly work: (input: Input) => number;
  /** `input`: numbers, texts, typed arrays and objects of these only. */ readonly make: (input: Input) => ChunkKernel;
}

/** Whoever sums chunks: this thread alone, or others with it. The sums are the same bits. */
export interface SumThreads {
  readonly withSums: <Input, Result>(
    maker: KernelMaker<Input>,
    input: Input,
    work: (sums: ChunkSums) => Result,
  ) => Result;
}

export const ONE_THREAD: SumThreads = { withSums: ({ make }, input, work) => work(chunkSumsOf(make(input))) };

/**
 * Cuts runs of rows into chunks of about `rowsPerChunk` without cutting a run.
 * @param start run k has the rows from start[k] up to, not with, start[k + 1]
 * @returns first run of each chunk, and the number of runs at the end
 */
export function chunkBounds(start: Int32Array, rowsPerChunk: number): Int32Array {
  const runs = start.length - 1;
  const bounds = [0];
  for (let k = 1; k < runs; k++) if (start[k] - start[bounds[bounds.length - 1]] >= rowsPerChunk) bounds.push(k);
  return Int32Array.of(...bounds, runs);
}
