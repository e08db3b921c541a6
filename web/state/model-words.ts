import type { ComparedFamily } from '../../server/schemas/models.ts';
import type { PooledGroupingName } from '../../server/schemas/pooling.ts';
import type { Settings } from '../../server/schemas/settings.ts';
import { FAMILY_LABELS } from './words.ts';

export const COMPARED_FAMILY_LABELS: Readonly<Record<ComparedFamily, string>> = {
  ...FAMILY_LABELS,
  'generalised-gamma': 'Generalised gamma (referee)',
};

export const CONDITION_MODEL_LABELS: Readonly<Record<Settings['conditionModel'], string>> = {
  auto: 'Learn from it if there is enough',
  off: 'Do not learn from it',
};

export const POOLING_LABELS: Readonly<Record<Settings['pooling'], string>> = {
  auto: 'Allow for it where records show it',
  off: 'Take seals as independent',
};

export const GROUPING_LABELS: Readonly<Record<PooledGroupingName, string>> = {
  district: 'Districts',
  facility: 'Facilities',
  lot: 'Lots',
};

/** Names of covariates that are left out now, and so are not among the effects of the model. */
export const COVARIATE_LABELS: Readonly<Record<string, string>> = {
  freezingIndex: 'Freezing index',
  freezeThawDays: 'Freeze-thaw days',
  temperatureRange: 'Yearly temperature range',
  precipitation: 'Precipitation',
  movementDemand: 'Movement over capability',
  traffic: 'Traffic',
  longitudinal: 'Longitudinal joint',
  width: 'Joint width',
  blasted: 'Faces blasted clean',
  fuelExposure: 'Fuel exposure',
};

/** "none", or the labels of what the model does without. */
export const leftOutText = (labels: readonly string[]): string => (labels.length === 0 ? 'none' : labels.join(', '));
