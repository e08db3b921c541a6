import { repriceForecast, runForecast } from '../forecasting/run-forecast.ts';
import { commitLoad, previewLoad } from './load-tasks.ts';
import type { TaskContext, TaskInput } from './task.ts';

/** Does long work in the thread it is called in: a worker under the server, the main thread under the command line. */
export async function runTask(input: TaskInput, context: TaskContext): Promise<void> {
  switch (input.kind) {
    case 'preview':
      return previewLoad(input.loadId, context);
    case 'load':
      return commitLoad(input.loadId, context);
    case 'forecast':
      await runForecast(context);
      return;
    case 'budget':
      await repriceForecast(context);
      return;
    default:
      return input satisfies never;
  }
}
