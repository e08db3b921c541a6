import type { AftData, AftFit, AftPrior, PosteriorDraws } from '../../analytics/survival/aft.ts';
import { aftPrior } from '../../analytics/survival/covariate-prior.ts';
import { classColumnName, type Design } from '../../analytics/survival/covariate-rows.ts';
import type { SealCovariates } from '../../analytics/survival/covariate-table.ts';
import { fitAft } from '../../analytics/survival/fit-aft.ts';
import { posteriorDraws } from '../../analytics/survival/posterior.ts';
import { priorDraws } from '../../analytics/survival/prior-draws.ts';
import { DRAWS, SEED } from '../forecasting/fit-network.ts';
import type { StoredModel } from '../forecasting/stored-model.ts';
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

export interface Refit {
  /** null: nothing to learn from. */ readonly fit: AftFit | null;
  readonly draws: PosteriorDraws;
  readonly note: string | null;
}

/** Fits the judged model to other rows. Where they do not carry a fit, the prior alone forecasts, and the note says so. */
export function refit({ family, prior }: JudgedModel, data: AftData): Refit {
  const options = { draws: DRAWS, seed: SEED };
  if (data.lower.length === 0)
    return {
      fit: null,
      draws: priorDraws(prior, family, options),
      note: 'Nothing was known by then: published lives alone forecast.',
    };
  const fit = fitAft(data, { family, prior });
  if (!fit.converged)
    return {
      fit,
      draws: priorDraws(prior, family, options),
      note: `The fit did not converge (${fit.status}): published lives alone forecast.`,
    };
  return { fit, draws: posteriorDraws(data, fit, prior, options), note: null };
}
