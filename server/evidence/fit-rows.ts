import type { LifeShares } from '../../analytics/backtest/read-lives.ts';
import type { ShareReadings } from '../../analytics/condition/condition.ts';
import type { ShareLink } from '../../analytics/condition/share-link.ts';
import { pickReadings } from '../../analytics/condition/share-lists.ts';
import type { AftData, AftFit, AftPrior, PosteriorDraws } from '../../analytics/survival/aft.ts';
import { aftPrior } from '../../analytics/survival/covariate-prior.ts';
import { classColumnName, type Design } from '../../analytics/survival/covariate-rows.ts';
import type { SealCovariates } from '../../analytics/survival/covariate-table.ts';
import { fitAft } from '../../analytics/survival/fit-aft.ts';
import { posteriorDraws } from '../../analytics/survival/posterior.ts';
import { priorDraws } from '../../analytics/survival/prior-draws.ts';
import { SEED } from '../forecasting/fit-network.ts';
import { fitShares } from '../forecasting/fit-shares.ts';
import type { StoredModel } from '../forecasting/stored-model.ts';
import { TWO_THREADS } from '../jobs/sum-threads.ts';
import type { Family } from '../schemas/words.ts';

/** The model that is judged: every refit has its design, family and prior. */
export interface JudgedModel {
  readonly family: Family;
  readonly design: Design;
  readonly prior: AftPrior;
}

/** Bounds of ages, years, one entry for each row; `seal` is a row of the design matrix. */
export interface RowsOfFit {
  readonly seal: ArrayLike<number>;
  readonly entryYears: Float64Array;
  readonly lowerYears: Float64Array;
  readonly upperYears: Float64Array;
}

/** The stored model as its refits need it; classes that came into the records since then are added. */
export function judgedModel(
  { family, design, priors }: Pick<StoredModel, 'family' | 'design' | 'priors'>,
  seals: readonly SealCovariates[],
) {
  const classes = [...new Set([...design.classes, ...seals.map(({ sealantClass }) => sealantClass)])].sort();
  const names = [...classes.map(classColumnName), ...design.columns.map(({ covariate }) => covariate.name)];
  const widened: Design = { ...design, classes, names };
  return { family, design: widened, prior: aftPrior(family, widened, priors) } satisfies JudgedModel;
}

export function aftDataOf({ design }: JudgedModel, rows: RowsOfFit, matrix: Float64Array): AftData {
  const width = design.names.length;
  const count = rows.seal.length;
  const covariates = new Float64Array(count * width);
  for (let i = 0; i < count; i++) {
    const from = rows.seal[i] * width;
    covariates.set(matrix.subarray(from, from + width), i * width);
  }
  return {
    entry: rows.entryYears,
    lower: rows.lowerYears,
    upper: rows.upperYears,
    weight: new Float64Array(count).fill(1),
    covariates,
    names: design.names,
    intercept: false,
  };
}

/** Draws of a refit: half those of a forecast, since there is a refit for each cut-off and its looks are many. */
export const TRIAL_DRAWS = 100;

export interface Refit {
  /** null: nothing to learn from. */ readonly fit: AftFit | null;
  readonly draws: PosteriorDraws;
  readonly note: string | null;
}

/** A refit by ages and damaged shares. */
export interface SharesRefit extends Refit {
  /** null: shares were too few, and the refit is that of ages alone. */ readonly shares: LifeShares | null;
}

/** Fits the judged model to other rows. Where they do not carry a fit, the prior alone forecasts, and the note says so. */
export function refit({ family, prior }: JudgedModel, data: AftData): Refit {
  const options = { draws: TRIAL_DRAWS, seed: SEED, threads: TWO_THREADS };
  if (data.lower.length === 0)
    return {
      fit: null,
      draws: priorDraws(prior, family, options),
      note: 'Nothing was known by then: published lives alone forecast.',
    };
  const fit = fitAft(data, { family, prior, threads: TWO_THREADS });
  if (!fit.converged)
    return {
      fit,
      draws: priorDraws(prior, family, options),
      note: `The fit did not converge (${fit.status}): published lives alone forecast.`,
    };
  return { fit, draws: posteriorDraws(data, fit, prior, options), note: null };
}

export interface KnownShares {
  /** One row for each seal. */ readonly readings: ShareReadings;
  readonly failureThresholdShare: number;
  /** As learnt at an earlier cut-off; left out: learnt now. */ readonly link?: ShareLink;
}

/**
 * The same with the damaged shares read by then, as the forecast would have been made. Where they were too few to learn
 * from, `ages` stands, and the note says so.
 * @param ages `seal`: a row of `readings` for each row of `data`
 */
export function refitWithShares(
  { family, prior }: JudgedModel,
  ages: { readonly data: AftData; readonly seal: ArrayLike<number>; readonly refit: Refit },
  { readings, ...known }: KnownShares,
): SharesRefit {
  if (!ages.refit.fit?.converged) return { ...ages.refit, shares: null };
  const data = { ...ages.data, ...pickReadings(readings, ages.seal) };
  const sampling = { draws: TRIAL_DRAWS, seed: SEED, threads: TWO_THREADS };
  const { found, draw } = fitShares(data, { family, prior, ...known, ...sampling });
  if (!found.used) return { ...ages.refit, note: found.sentence, shares: null };
  const { growth, reading, ...draws } = draw();
  return { fit: found.life, draws, note: null, shares: growth && { growth, reading, readings } };
}
