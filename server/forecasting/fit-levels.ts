import { type DrawnGrouping, type GroupingDraws, withLevelDraws } from '../../analytics/pooling/level-draws.ts';
import { levelPlaces } from '../../analytics/pooling/level-quadratic.ts';
import {
  type FitAt,
  type GroupingChoice,
  type OffsetFit,
  pooledLevels,
} from '../../analytics/pooling/pooled-levels.ts';
import type { Grouping } from '../../analytics/pooling/pooled-rows.ts';
import { effectOfRows } from '../../analytics/pooling/scaled-ages.ts';
import type { AftData, AftPrior, PosteriorDraws } from '../../analytics/survival/aft.ts';
import { groupsInPlace, levelGroupings, ruleOf } from './level-groupings.ts';
import type { Network } from './network.ts';

/** What districts, facilities and lots were found to do. */
export interface FittedLevels {
  /** Rows of the fit by what they share. */ readonly groupings: readonly Grouping[];
  /** null: too little on record to compare levels by. */ readonly choices: readonly GroupingChoice[] | null;
  /** Of the groupings that are used; none: forecasts are as without. */ readonly draws: readonly GroupingDraws[];
  /** Their sum on each row of the fit, at the mode; null: none is used. */ readonly effectOfRow: Float64Array | null;
}

/** A fit, and how it is made again with lives in units of exp(effect), one effect for each row. */
export interface Refittable<Fit extends OffsetFit, Draws extends PosteriorDraws> {
  readonly data: AftData;
  readonly prior: AftPrior;
  /** Where rows are many, near only; `finished` takes it to its end. */ readonly first: Fit;
  readonly finished: () => Fit;
  /** null: it did not converge. `rough`: near will do. */
  readonly fitWith: (effectOfRow: Float64Array, rough: boolean) => Fit | null;
  readonly drawsOf: (fit: Fit) => Draws;
  readonly seed: number;
}

export interface LevelsFit<Fit, Draws> {
  readonly fit: Fit;
  readonly draws: Draws;
  readonly levels: FittedLevels | null;
}

/** Unknown lots stand for so many at least, so that no two seals share one for want of a name. */
const LEAST_UNKNOWN_LEVELS = 8;
const MOST_UNKNOWN_LEVELS = 64;

/** Adds the effects of levels to a fit where the records show that levels differ; else all is as it was. */
export function fitLevels<Fit extends OffsetFit, Draws extends PosteriorDraws>(
  network: Network,
  way: Refittable<Fit, Draws>,
): LevelsFit<Fit, Draws> {
  const { data, prior, first, seed } = way;
  const groupings = levelGroupings(network);
  const places = levelPlaces(groupings, 0);
  const fitAt: FitAt<Fit> = (effects, rough) =>
    way.fitWith(effectOfRows(data.lower.length, groupings, places, effects), rough);
  const found = pooledLevels(data, groupings, prior, { first, fitAt });
  if (!found?.pooled) {
    const plain = way.finished();
    const levels = { groupings, choices: found?.choices ?? null, draws: [], effectOfRow: null };
    return { fit: plain, draws: way.drawsOf(plain), levels };
  }
  const { choices } = found;
  const { fit, quadratic, peak, effects, freedom } = found.pooled;
  const drawn = choices.flatMap(({ name, used, sd, logSdSe }, g) =>
    used && sd !== null && logSdSe !== null
      ? [drawnGrouping(network, groupings[g], { grouping: g, sd, logSdSe, name })]
      : [],
  );
  const made = withLevelDraws(way.drawsOf(fit), {
    ...{ quadratic, peak, effects, freedom, covariance: fit.life.covariance },
    ...{ groupings: drawn, seed: seed + 1 },
  });
  return {
    fit,
    draws: made.draws,
    levels: {
      groupings,
      choices,
      draws: made.groupings,
      effectOfRow: effectOfRows(data.lower.length, groupings, places, effects),
    },
  };
}

function drawnGrouping(
  { segments }: Network,
  { levels, index }: Grouping,
  spread: Pick<DrawnGrouping, 'name' | 'grouping' | 'sd' | 'logSdSe'>,
): DrawnGrouping {
  const { levelOf, ofSeal } = ruleOf(spread.name);
  const unknown = segments.filter((segment) => segment.inPlace && levelOf(groupsInPlace(segment)) === null).length;
  const sealsOfLevel = index.reduce((sum, level) => sum + Number(level >= 0), 0) / Math.max(1, levels.length);
  const wanted = Math.round(unknown / Math.max(1, sealsOfLevel));
  const unknownLevels = Math.min(MOST_UNKNOWN_LEVELS, Math.max(LEAST_UNKNOWN_LEVELS, wanted));
  return { ...spread, levels, unknownLevels, ofSeal };
}
