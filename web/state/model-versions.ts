import type { ModelVersion } from '../../server/schemas/models.ts';
import { formatShare } from './format.ts';
import { COVARIATE_LABELS, leftOutText } from './model-words.ts';
import { FAMILY_LABELS, labelOf } from './words.ts';

/** One line on what a version was fitted with: "Weibull, failed from 10 %, without joint width". */
export function versionSettings({ settingsUsed }: ModelVersion): string {
  const { family, failureThresholdShare, leftOutCovariates = [], priors } = settingsUsed;
  const without = leftOutCovariates.map((name) => labelOf(COVARIATE_LABELS, name).toLowerCase());
  return [
    FAMILY_LABELS[family],
    `failed from ${formatShare(failureThresholdShare)}`,
    ...(without.length === 0 ? [] : [`without ${leftOutText(without)}`]),
    ...(priors ? ["with the agency's own beliefs"] : []),
  ].join(', ');
}

/** Why the fit measures of a version say nothing beside those of another; null where they compare. */
export function versionsDiffer(version: ModelVersion, other: ModelVersion): string | null {
  const [a, b] = [version.settingsUsed, other.settingsUsed];
  if (version.dataVersion !== other.dataVersion) return 'read other records';
  if (a.failureThresholdShare !== b.failureThresholdShare) return 'another failure threshold';
  if (a.inspectionMethod !== b.inspectionMethod) return 'another method of rating';
  return version.observations === other.observations ? null : 'other seals in the fit';
}
