import type { ConditionDraws, GrowthDraws } from '../../analytics/condition/condition.ts';
import { ConditionFirstFailures } from '../../analytics/condition/condition-first-failures.ts';
import { type ConditionKnowledge, forecastCondition } from '../../analytics/condition/forecast-condition.ts';
import { packReadings } from '../../analytics/condition/share-lists.ts';
import { type FirstFailures, RuleFirstFailures } from '../../analytics/forecast/first-failures.ts';
import {
  type ForecastOptions,
  forecastSegments,
  type SegmentForecasts,
} from '../../analytics/forecast/forecast-segments.ts';
import { knowledgeOf, type SealedSegment } from './knowledge.ts';
import type { StoredCondition, StoredModel } from './stored-model.ts';

export type SegmentOptions = Omit<ForecastOptions, 'damageRule'>;

/** What a model says of some segments. */
export interface ModelForecasts {
  /** Chances of first failures, draw by draw; the forecasts are their averages. */
  readonly firstFailures: FirstFailures;
  /** Cheaper after `firstFailures` went through the segments. */
  forecasts(progress: (share: number) => void): SegmentForecasts;
}

/** Forecasts by a model: with damaged shares where it knows how damage grows, else by the threshold and the damage rule. */
export function modelForecasts(
  segments: readonly SealedSegment[],
  model: StoredModel,
  options: SegmentOptions,
): ModelForecasts {
  const { condition, family, draws, damageRule } = model;
  const knowledge = knowledgeOf(segments, model);
  if (!condition) {
    const withRule = { ...options, damageRule };
    return {
      firstFailures: new RuleFirstFailures(knowledge, draws, family, withRule),
      forecasts: (progress) => forecastSegments(knowledge, draws, family, withRule, progress),
    };
  }
  const lists = segments.map(({ inPlace }) => inPlace.readings);
  const known: ConditionKnowledge = { ...knowledge, ...packReadings(lists, condition.inspectors) };
  const growing = drawsWithGrowth(model, condition);
  const firstFailures = new ConditionFirstFailures(known, growing, family, options);
  return {
    firstFailures,
    forecasts: (progress) => forecastCondition(known, growing, family, options, progress, firstFailures.before),
  };
}

/** First failures of some of the segments; `members`: their places among all. */
export const firstFailuresOf = (all: FirstFailures, members: readonly number[]): FirstFailures => ({
  etasOf: (i) => all.etasOf(members[i]),
  eachDraw: (i, visit) => all.eachDraw(members[i], visit),
  failedNowOf: (i) => all.failedNowOf(members[i]),
});

export const drawsWithGrowth = (
  { draws }: Pick<StoredModel, 'draws'>,
  { growth, reading }: StoredCondition,
): ConditionDraws & { readonly growth: GrowthDraws } => ({ ...draws, growth, reading });
