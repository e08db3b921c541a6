import type { TaskContext } from '../jobs/task.ts';
import type { ModelReport } from '../schemas/model.ts';
import type { Settings } from '../schemas/settings.ts';
import { forecastAgain } from './run-forecast.ts';
import { decodeModel } from './stored-model.ts';

/**
 * Makes forecast and budget again with a stored model, and that model the current one. The settings that the model was
 * fitted with come back with it, since records must be read as they were read for the fit. On the same records, planning
 * date and prices the numbers are those of then, bit for bit.
 * @throws Error when there is no such version
 */
export async function adoptModel(version: number, context: TaskContext): Promise<void> {
  const { store } = context;
  const bytes = await store.readModelDraws(version);
  const report = (await store.readModelReport(version)) as ModelReport | null;
  if (!bytes || !report) throw new Error(`No model version ${version}`);
  const settings = settingsOf(report, await store.readSettings());
  await forecastAgain(context, decodeModel(bytes), settings, version);
}

function settingsOf({ settingsUsed }: ModelReport, now: Settings): Settings {
  const { family, failureThresholdShare, inspectionMethod } = settingsUsed;
  return {
    ...now,
    family,
    failureThresholdShare,
    inspectionMethod: inspectionMethod as Settings['inspectionMethod'],
    conditionModel: settingsUsed.conditionModel ?? 'off', // what versions before that setting did
    pooling: settingsUsed.pooling ?? 'off', // as above
    leftOutCovariates: settingsUsed.leftOutCovariates ?? [],
    priors: settingsUsed.priors ?? null,
  };
}
