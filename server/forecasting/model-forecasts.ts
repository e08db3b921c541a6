import type { ConditionDraws, GrowthDraws } from '../../analytics/condition/condition.ts';
import {
  type LifeForecasts,
  type LifeKnowledge,
  type LifeModel,
  lifeForecasts,
} from '../../analytics/condition/life-model.ts';
import { packReadings } from '../../analytics/condition/share-lists.ts';
import type { ForecastOptions } from '../../analytics/forecast/forecast-segments.ts';
import { knowledgeOf, type SealedSegment } from './knowledge.ts';
import type { StoredCondition, StoredModel } from './stored-model.ts';

export type SegmentOptions = Omit<ForecastOptions, 'damageRule'>;

/** Forecasts of some segments by a stored model. */
export const modelForecasts = (
  segments: readonly SealedSegment[],
  model: StoredModel,
  options: SegmentOptions,
): LifeForecasts =>
  lifeForecasts(lifeKnowledge(segments, model), lifeModel(model), { ...options, damageRule: model.damageRule });

/** What is known of some segments, with the shares that the model reads. */
export function lifeKnowledge(segments: readonly SealedSegment[], model: StoredModel): LifeKnowledge {
  const lists = segments.map(({ inPlace }) => inPlace.readings);
  return {
    ...knowledgeOf(segments, model),
    readings: model.condition && packReadings(lists, model.condition.inspectors),
  };
}

export const lifeModel = ({ family, draws, condition }: StoredModel): LifeModel => ({
  ...{ family, draws },
  condition: condition && { growth: condition.growth, reading: condition.reading },
});

export const drawsWithGrowth = (
  { draws }: Pick<StoredModel, 'draws'>,
  { growth, reading }: StoredCondition,
): ConditionDraws & { readonly growth: GrowthDraws } => ({ ...draws, growth, reading });
