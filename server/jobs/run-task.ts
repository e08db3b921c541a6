import { schedulePlan } from '../closures/schedule-plan.ts';
import { makeEvidence } from '../evidence/make-evidence.ts';
import { adoptModel } from '../forecasting/adopt-model.ts';
import { compareModels } from '../forecasting/compare-models.ts';
import { repriceForecast, runForecast } from '../forecasting/run-forecast.ts';
import { tryPriors } from '../forecasting/try-priors.ts';
import { solveScenario } from '../programs/solve-scenario.ts';
import { commitLoad, previewLoad } from './load-tasks.ts';
import type { TaskContext, TaskInput } from './task.ts';

/**
 * Does long work in the thread it is called in: a worker under the server, the main thread under the command line.
 * @returns what came of it in words, where there is more to say than that it is done
 */
export async function runTask(input: TaskInput, context: TaskContext): Promise<string | undefined> {
  if (input.kind === 'program') return solveScenario(input.scenarioId, context);
  if (input.kind === 'closures') return schedulePlan(input.planId, context);
  await runPlainTask(input, context);
  return undefined;
}

async function runPlainTask(
  input: Exclude<TaskInput, { kind: 'program' | 'closures' }>,
  context: TaskContext,
): Promise<void> {
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
    case 'evidence':
      await makeEvidence(context);
      return;
    case 'adopt':
      await adoptModel(input.version, context);
      return;
    case 'comparison':
      return compareModels(input.request, context);
    case 'prior-trial':
      return tryPriors(input.priors, context);
    default:
      return input satisfies never;
  }
}
