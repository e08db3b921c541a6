import { conditionCurve } from '../../analytics/condition/condition-curve.ts';
import { packReadings } from '../../analytics/condition/share-lists.ts';
import { type LifeCurve, segmentCurve } from '../../analytics/forecast/segment-curve.ts';
import { writeDesignRow } from '../../analytics/survival/covariate-rows.ts';
import { drawsWithGrowth } from './model-forecasts.ts';
import type { SealInPlace } from './network.ts';
import { type GroupedSegment, sharedEffects } from './shared-effects.ts';
import type { StoredModel } from './stored-model.ts';

/**
 * Survival of one seal in place at some ages, from when it was last known sound, by the model that forecasts use: at year
 * ends it is what the forecast says.
 * @param agesYears increasing, at or above the age at which it was last known sound
 */
export function sealCurve(
  model: StoredModel,
  segment: GroupedSegment & { readonly inPlace: SealInPlace },
  agesYears: Float64Array,
  failureThresholdShare: number,
): LifeCurve {
  const { family, design, draws, damageRule: rule, condition } = model;
  const { covariates, soundAgeYears, damageShare: share, readings } = segment.inPlace;
  const shared = sharedEffects(model.levels, [segment]);
  const row = new Float64Array(design.names.length);
  writeDesignRow(design, covariates, row, 0);
  if (condition && readings.some(({ ageYears }) => ageYears > 0)) {
    const packed = packReadings([readings], condition.inspectors);
    const growing = drawsWithGrowth(model, condition);
    return conditionCurve({ row, soundAgeYears, agesYears, readings: packed, shared }, growing, family);
  }
  const damage = condition || Number.isNaN(share) ? undefined : { share, failureThresholdShare, rule };
  return segmentCurve({ row, soundAgeYears, agesYears, damage, shared }, draws, family);
}
