import type { ConditionDraws, GrowthDraws } from '../../analytics/condition/condition.ts';
import { ConditionFirstFailures } from '../../analytics/condition/condition-first-failures.ts';
import { type ConditionKnowledge, forecastCondition } from '../../analytics/condition/forecast-condition.ts';
import { type FirstFailures, RuleFirstFailures } from '../../analytics/forecast/first-failures.ts';
import {
  type ForecastOptions,
  forecastSegments,
  type SegmentForecasts,
} from '../../analytics/forecast/forecast-segments.ts';
import { knowledgeOf, type SealedSegment } from './knowledge.ts';
import { packReadings } from './share-readings.ts';
import type { StoredCondition, StoredModel } from './stored-model.ts';

type Options = Omit<ForecastOptions, 'damageRule'>;

/** Forecasts of all segments by a model: with damaged shares where it knows how damage grows, else by the damage rule. */
export function modelForecasts(
  segments: readonly SealedSegment[],
  model: StoredModel,
  options: Options,
  progress: (share: number) => void,
): SegmentForecasts {
  const { condition, family, draws, damageRule } = model;
  if (!condition)
    return forecastSegments(knowledgeOf(segments, model.design), draws, family, { ...options, damageRule }, progress);
  const known = conditionKnowledge(segments, model, condition);
  return forecastCondition(known, drawsWithGrowth(model, condition), family, options, progress);
}

/** The chances of first failures that those forecasts are averages of. */
export function modelFirstFailures(
  segments: readonly SealedSegment[],
  model: StoredModel,
  options: Options,
): FirstFailures {
  const { condition, family, draws, damageRule } = model;
  if (!condition)
    return new RuleFirstFailures(knowledgeOf(segments, model.design), draws, family, { ...options, damageRule });
  const known = conditionKnowledge(segments, model, condition);
  return new ConditionFirstFailures(known, drawsWithGrowth(model, condition), family, options);
}

function conditionKnowledge(
  segments: readonly SealedSegment[],
  { design }: StoredModel,
  { inspectors }: StoredCondition,
): ConditionKnowledge {
  const lists = segments.map(({ inPlace }) => inPlace.readings);
  return { ...knowledgeOf(segments, design), ...packReadings(lists, inspectors) };
}

export const drawsWithGrowth = (
  { draws }: Pick<StoredModel, 'draws'>,
  { growth, reading }: StoredCondition,
): ConditionDraws & { readonly growth: GrowthDraws } => ({ ...draws, growth, reading });
