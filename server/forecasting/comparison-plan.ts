import { COVARIATES } from '../../analytics/survival/covariate-table.ts';
import { COMPARED_FAMILIES, type ComparedFamily, type ComparisonRequest } from '../schemas/models.ts';
import type { Settings } from '../schemas/settings.ts';

/** One model to fit. */
export interface PlannedModel {
  readonly family: ComparedFamily;
  readonly failureThresholdShare: number;
  readonly leftOut: readonly string[];
}

type Present = Pick<Settings, 'family' | 'failureThresholdShare' | 'leftOutCovariates'>;

/**
 * What to fit. With nothing asked for, the present settings are varied one at a time: each family, half and twice the
 * threshold, each covariate left out. Otherwise each choice is tried with every other. Present settings come first, and
 * always: the others are judged against them.
 */
export function comparisonPlan(
  { families, thresholds, leaveOut }: ComparisonRequest,
  settings: Settings,
): PlannedModel[] {
  const present = presentModel(settings);
  const planned =
    families || thresholds || leaveOut
      ? (families ?? [present.family]).flatMap((family) =>
          (thresholds ?? [present.failureThresholdShare]).flatMap((failureThresholdShare) =>
            (leaveOut ?? [present.leftOut]).map((leftOut) => ({
              family,
              failureThresholdShare,
              leftOut: [...leftOut],
            })),
          ),
        )
      : oneAtATime(present);
  const found = new Map([present, ...planned].map((model) => [keyOf(model), model]));
  return [...found.values()];
}

export const presentModel = ({ family, failureThresholdShare, leftOutCovariates }: Present): PlannedModel => ({
  family,
  failureThresholdShare,
  leftOut: leftOutCovariates,
});

/** Two models with one key are the same. */
export const keyOf = ({ family, failureThresholdShare, leftOut }: PlannedModel): string =>
  [family, failureThresholdShare, ...[...leftOut].sort()].join('/');

function oneAtATime(present: PlannedModel): PlannedModel[] {
  const { failureThresholdShare: threshold, leftOut } = present;
  const thresholds = [threshold / 2, threshold * 2].filter((share) => share >= 0.01 && share <= 0.95);
  return [
    ...COMPARED_FAMILIES.map((family) => ({ ...present, family })),
    ...(leftOut.length > 0 ? [{ ...present, leftOut: [] }] : []),
    ...COVARIATES.filter(({ name }) => !leftOut.includes(name)).map(({ name }) => ({
      ...present,
      leftOut: [...leftOut, name],
    })),
    ...thresholds.map((failureThresholdShare) => ({ ...present, failureThresholdShare })),
  ];
}
