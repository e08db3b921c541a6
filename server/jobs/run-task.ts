import type { TaskContext, TaskInput } from './task.ts';

/**
 * Does long work in the thread it is called in: a worker under the server, the main thread under the command line. Each job
 * has a thread of its own, which reads the code of its own work alone: to read all of it takes as long as a small job.
 * @returns what came of it in words, where there is more to say than that it is done
 */
export async function runTask(input: TaskInput, context: TaskContext): Promise<string | undefined> {
  if (input.kind === 'program')
    return (await import('../programs/solve-scenario.ts')).solveScenario(input.scenarioId, context);
  if (input.kind === 'closures')
    return (await import('../closures/schedule-plan.ts')).schedulePlan(input.planId, context);
  await runPlainTask(input, context);
  return undefined;
}

async function runPlainTask(
  input: Exclude<TaskInput, { kind: 'program' | 'closures' }>,
  context: TaskContext,
): Promise<void> {
  switch (input.kind) {
    case 'preview':
      return (await import('./load-tasks.ts')).previewLoad(input.loadId, context);
    case 'load':
      return (await import('./load-tasks.ts')).commitLoad(input.loadId, context);
    case 'forecast':
      await (await import('../forecasting/run-forecast.ts')).runForecast(context);
      return;
    case 'budget':
      await (await import('../forecasting/run-forecast.ts')).repriceForecast(context);
      return;
    case 'evidence':
      await (await import('../evidence/make-evidence.ts')).makeEvidence(context);
      return;
    case 'adopt':
      await (await import('../forecasting/adopt-model.ts')).adoptModel(input.version, context);
      return;
    case 'comparison':
      return (await import('../forecasting/compare-models.ts')).compareModels(input.request, context);
    case 'prior-trial':
      return (await import('../forecasting/try-priors.ts')).tryPriors(input.priors, context);
    default:
      return input satisfies never;
  }
}
