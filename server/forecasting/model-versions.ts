import { EVIDENCE } from '../evidence/stored-evidence.ts';
import type { ModelReport } from '../schemas/model.ts';
import type { ModelVersion, ModelVersions } from '../schemas/models.ts';
import type { Store } from '../store/store.ts';

const NOTE =
  'AIC and BIC are those of ages alone, at the most likely parameters given the priors. They compare versions that read ' +
  'the same records with the same failure threshold and method. BIC counts failures, since a seal still sound tells ' +
  'little. The back-test score compares versions of the same cut-off dates.';

/** All models that were fitted, newest first. */
export async function modelVersions(store: Store): Promise<ModelVersions> {
  const current = await store.modelVersion();
  const reports = (await store.listModelReports()) as ModelReport[];
  const versions = await Promise.all(
    reports.map(async (report) => ({
      ...versionOf(report),
      backTestLogScore: backTestLogScore(await store.readDocument(EVIDENCE, report.version)),
      current: report.version === current,
    })),
  );
  return { current, versions, note: NOTE };
}

function versionOf(report: ModelReport): Omit<ModelVersion, 'backTestLogScore' | 'current'> {
  const { version, fittedAt, planningDate, dataVersion, settingsUsed, fit } = report;
  // Reports of older versions hold the fit of ages alone itself.
  const { logLikelihood, parameters, observations, failures } = report.agesAlone ?? {
    ...fit,
    parameters: Object.keys(fit.standardErrors).length,
  };
  return {
    version,
    fittedAt,
    planningDate,
    dataVersion,
    family: settingsUsed.family,
    settingsUsed,
    conditionUsed: report.condition?.used ?? false,
    observations,
    failures,
    logLikelihood,
    parameters,
    aic: 2 * parameters - 2 * logLikelihood,
    bic: failures > 0 ? parameters * Math.log(failures) - 2 * logLikelihood : null,
  };
}

/** Mean log score of the model in a stored back-test; null where there is none. */
function backTestLogScore(document: unknown): number | null {
  const found = at(at(at(at(document, 'backtest'), 'model'), 'scores'), 'logScore');
  return typeof found === 'number' && Number.isFinite(found) ? found : null;
}

const at = (value: unknown, field: string): unknown =>
  typeof value === 'object' && value !== null && field in value ? (value as Record<string, unknown>)[field] : null;
