import type { Settings } from '../../server/schemas/settings.ts';
import { type FieldProblem, isDay, parseDecimal } from './budget-edit.ts';

/** The settings of the fit, as typed. */
export interface FitDraft {
  family: Settings['family'];
  inspectionMethod: Settings['inspectionMethod'];
  conditionModel: Settings['conditionModel'];
  pooling: Settings['pooling'];
  thresholdPercent: string;
  stationLimitKm: string;
  /** '' means the day of the run. */ planningDate: string;
}

const text = (value: number): string => String(Number(value.toFixed(4)));

export const draftFit = (settings: Settings): FitDraft => ({
  family: settings.family,
  inspectionMethod: settings.inspectionMethod,
  conditionModel: settings.conditionModel,
  pooling: settings.pooling,
  thresholdPercent: text(settings.failureThresholdShare * 100),
  stationLimitKm: text(settings.stationLimitKm),
  planningDate: settings.planningDate ?? '',
});

/** The settings to save, or what must be mended first. Bounds are those of the settings schema. */
export function readFit(draft: FitDraft, settings: Settings): { settings: Settings; problems: FieldProblem[] } {
  const problems: FieldProblem[] = [];
  const threshold = parseDecimal(draft.thresholdPercent);
  if (threshold === null || threshold < 1 || threshold > 100) {
    problems.push({ key: 'threshold', field: 'thresholdPercent', message: 'Give a number from 1 to 100 %.' });
  }
  const limit = parseDecimal(draft.stationLimitKm);
  if (limit === null || limit < 1 || limit > 1000) {
    problems.push({ key: 'limit', field: 'stationLimitKm', message: 'Give a number from 1 to 1000 km.' });
  }
  if (draft.planningDate !== '' && !isDay(draft.planningDate)) {
    problems.push({ key: 'planning', field: 'planningDate', message: 'Give a day as YYYY-MM-DD, or leave it empty.' });
  }
  return {
    problems,
    settings: {
      ...settings,
      family: draft.family,
      inspectionMethod: draft.inspectionMethod,
      conditionModel: draft.conditionModel,
      pooling: draft.pooling,
      failureThresholdShare: Number(((threshold ?? 0) / 100).toFixed(8)),
      stationLimitKm: limit ?? 0,
      planningDate: draft.planningDate || null,
    },
  };
}
