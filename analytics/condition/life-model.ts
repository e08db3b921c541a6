import { type FirstFailures, RuleFirstFailures } from '../forecast/first-failures.ts';
import {
  type ForecastOptions,
  forecastSegments,
  type SegmentForecasts,
  type SegmentKnowledge,
} from '../forecast/forecast-segments.ts';
import { knownOfSome } from '../forecast/some-segments.ts';
import { pick } from '../numeric/pick-rows.ts';
import type { Family, PosteriorDraws } from '../survival/aft.ts';
import type { GrowthDraws, ReadingModel, ShareReadings } from './condition.ts';
import { ConditionFirstFailures } from './condition-first-failures.ts';
import { forecastCondition } from './forecast-condition.ts';
import { pickReadings } from './share-lists.ts';

/** What forecasts rest on: the draws of a fit, with how damage grows and is read where it knows that. */
export interface LifeModel {
  readonly family: Family;
  readonly draws: PosteriorDraws;
  /** null: the threshold and the damage rule of the options. */
  readonly condition: { readonly growth: GrowthDraws; readonly reading: ReadingModel } | null;
}

/** What is known of some segments, with every share read on their seals where the model takes these. */
export interface LifeKnowledge extends SegmentKnowledge {
  readonly readings: ShareReadings | null;
}

/** What a model says of some segments. */
export interface LifeForecasts {
  /** Chances of first failures, draw by draw; the forecasts are their averages. */
  readonly firstFailures: FirstFailures;
  /** Cheaper after `firstFailures` went through the segments. */
  forecasts(progress?: (share: number) => void): SegmentForecasts;
}

/** Forecasts by a model: with damaged shares where it knows how damage grows, else by the threshold and the damage rule. */
export function lifeForecasts(known: LifeKnowledge, model: LifeModel, options: ForecastOptions): LifeForecasts {
  const { family, draws, condition } = model;
  const { readings, ...plain } = known;
  if (!condition || !readings)
    return {
      firstFailures: new RuleFirstFailures(plain, draws, family, options),
      forecasts: (progress) => forecastSegments(plain, draws, family, options, progress),
    };
  const read = { ...plain, ...readings };
  const growing = { ...draws, ...condition };
  const firstFailures = new ConditionFirstFailures(read, growing, family, options);
  return {
    firstFailures,
    forecasts: (progress) => forecastCondition(read, growing, family, options, progress, firstFailures.before),
  };
}

/** What is known of some of the segments, in the order of `members`. */
export const knowledgeOfSome = (known: LifeKnowledge, members: Int32Array): LifeKnowledge => ({
  ...knownOfSome(known, members),
  damageShare: pick(known.damageShare, members),
  readings: known.readings && pickReadings(known.readings, members),
});
