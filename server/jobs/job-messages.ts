import type { TaskInput } from './task.ts';

/** Handed to a worker thread when it starts. */
export interface WorkerStart {
  readonly input: TaskInput;
  readonly databasePath: string;
  readonly dataFolder: string;
  readonly today: string;
  /** One 32-bit number shared with the main thread: how often it asked to stop, heard even in the middle of a loop. */
  readonly cancelFlag: Int32Array;
}

/** Told to the main thread by a worker. */
export type WorkerMessage =
  | { readonly type: 'progress'; readonly share: number; readonly step: string }
  | { readonly type: 'heard' }
  | { readonly type: 'done'; readonly step: string }
  | { readonly type: 'cancelled' }
  | { readonly type: 'failed'; readonly message: string };
