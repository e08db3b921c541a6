import { type LastSeen, type YearShocks, yearShocks } from '../../analytics/forecast/year-shocks.ts';
import { SEED } from './fit-network.ts';
import type { SealedSegment } from './knowledge.ts';
import type { SegmentOptions } from './model-forecasts.ts';
import type { StoredModel } from './stored-model.ts';

const SHOCKS_SEED = SEED + 3;

/** Years that are hard or easy on all seals alike, under each draw; null: the model is of a version that knows none. */
export const shocksOf = (
  yearSd: StoredModel['yearSd'],
  { horizonYears }: Pick<SegmentOptions, 'horizonYears'>,
): YearShocks | null => (yearSd ? yearShocks(yearSd, { horizonYears, seed: SHOCKS_SEED }) : null);

export function lastSeenOf(segments: readonly SealedSegment[]): LastSeen {
  const years = (of: (segment: SealedSegment) => number) => Float64Array.from(segments, of);
  return {
    soundAgeYears: years(({ inPlace }) => inPlace.soundAgeYears),
    planningAgeYears: years(({ inPlace }) => inPlace.planningAgeYears),
  };
}
