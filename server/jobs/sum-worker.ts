import { type MessagePort, receiveMessageOnPort, workerData } from 'node:worker_threads';
import { CONDITION_SUMS } from '../../analytics/condition/condition-chunks.ts';
import { OUTLOOK_CHUNKS } from '../../analytics/condition/outlook-chunks.ts';
import { ROW_INFORMATION } from '../../analytics/condition/row-information.ts';
import type { KernelMaker } from '../../analytics/numeric/chunk-sums.ts';
import { POOLED_MODES } from '../../analytics/pooling/mode-chunks.ts';
import { LIFE_SUMS } from '../../analytics/survival/likelihood-chunks.ts';
import { TURNBULL_GROUPS } from '../../analytics/survival/turnbull-chunks.ts';
import { CLOSED, failSum, HELPED, ROUND, type SumRequest, takeChunks } from './sum-control.ts';

/** Every kernel that can be shared. */
const MAKERS = [
  LIFE_SUMS,
  CONDITION_SUMS,
  ROW_INFORMATION,
  POOLED_MODES,
  OUTLOOK_CHUNKS,
  TURNBULL_GROUPS,
] as readonly KernelMaker<unknown>[];

const { port, rings } = workerData as { readonly port: MessagePort; readonly rings: Int32Array };

/** Of the sum that this thread helps with now. */
let helping: Int32Array | null = null;
process.once('exit', () => {
  if (helping) failSum(helping);
});

// Never ends by itself: it goes with the thread that started it. Waiting takes no time of the processor.
for (let seen = 0; ; seen = Atomics.load(rings, 0)) {
  Atomics.wait(rings, 0, seen);
  for (let got = receiveMessageOnPort(port); got; got = receiveMessageOnPort(port)) help(got.message);
}

function help({ maker, input, ...shared }: SumRequest): void {
  const { control } = shared;
  helping = control;
  try {
    const kernel = MAKERS.find(({ name }) => name === maker)?.make(input);
    if (!kernel) throw new Error(`No sums are called ${maker}`);
    for (let round = 0; Atomics.load(control, CLOSED) === 0; round = Atomics.load(control, ROUND)) {
      Atomics.wait(control, ROUND, round);
      Atomics.add(control, HELPED, takeChunks(kernel, shared));
    }
  } catch {
    // The other thread waits for this one's chunk: it is told, and sums alone.
    failSum(control);
  }
  helping = null;
}
