import { inspectionTrials } from '../../analytics/backtest/backtest-trials.ts';
import { meanChances, modelForecast } from '../../analytics/backtest/trial-forecast.ts';
import type { TrialRules } from '../../analytics/backtest/trial-history.ts';
import type { Trials } from '../../analytics/backtest/trial-table.ts';
import { coxSnell } from '../../analytics/diagnostics/cox-snell.ts';
import { entryAgeCheck } from '../../analytics/diagnostics/entry-age.ts';
import { observedAgainstExpected } from '../../analytics/diagnostics/observed-expected.ts';
import { classKnowledge } from '../../analytics/diagnostics/prior-posterior.ts';
import { probabilityResiduals, residualsAgainst } from '../../analytics/diagnostics/probability-residual.ts';
import { profileShape } from '../../analytics/diagnostics/profile-shape.ts';
import type { AftData, AftFit, PosteriorDraws } from '../../analytics/survival/aft.ts';
import type { Diagnostics } from '../schemas/evidence-diagnostics.ts';
import type { EvidenceNetwork } from './evidence-network.ts';
import type { JudgedModel } from './fit-rows.ts';
import { probabilityPlots } from './probability-plots.ts';

/** Every inspection interval of the tried histories, with the chance that the fit gives to a failure found at its end. */
export interface FittedTrials {
  readonly trials: Trials;
  readonly chance: Float64Array;
}

/** The current fit with all that its checks look at. */
export interface CurrentFit {
  readonly network: EvidenceNetwork;
  readonly model: JudgedModel;
  readonly data: AftData;
  readonly fit: AftFit;
  readonly draws: PosteriorDraws;
  /** Design rows of the seals of the tried histories, in their order. */ readonly matrix: Float64Array;
  readonly past: FittedTrials;
}

/** Every check of the current fit. @param progress share done, 0-1; what it throws stops the work */
export function diagnose(current: CurrentFit, progress: (share: number) => void): Diagnostics {
  const { data, fit, model, draws, network } = current;
  const { prior } = model;
  const { past } = current;
  const observedExpected = past.trials.count === 0 ? null : observedAgainstExpected(past.trials, past.chance);
  progress(0.2);
  const cox = coxSnell(data, fit);
  progress(0.3);
  const residuals = covariateResiduals(current);
  progress(0.4);
  const shape = profileShape(data, fit, prior);
  progress(0.7);
  const entryAge = entryAgeCheck(data, fit, prior);
  progress(0.8);
  const classes = classKnowledge({ data, family: model.family, prior, draws, classes: model.design.classes });
  const notes = [
    ...fit.warnings,
    shape === null && model.family === 'exponential'
      ? 'The exponential has one shape, so there is no profile of it.'
      : '',
    network.histories.length < network.segments
      ? `Observed against expected failures are of ${network.histories.length} segments, spread evenly over all ${network.segments}.`
      : '',
  ];
  return {
    rows: data.lower.length,
    failures: Math.round(fit.failures),
    observedExpected,
    coxSnell: cox,
    residuals,
    shape,
    classes,
    entryAge,
    probabilityPlots: probabilityPlots(current),
    notes: notes.filter(Boolean),
  } as Diagnostics;
}

/** By the fit itself, and not its draws: checks are of the fit, at the records it was made from. */
export function fittedTrials(
  { histories }: EvidenceNetwork,
  rules: TrialRules,
  fit: AftFit,
  matrix: Float64Array,
): FittedTrials {
  const trials = inspectionTrials(histories, rules);
  const point: PosteriorDraws = {
    draws: 1,
    coefficients: fit.coefficients,
    scale: Float64Array.of(fit.scale),
    effectiveSampleSize: 1,
    paretoK: 0,
  };
  const forecast = modelForecast('fit', trials, [{ family: fit.family, draws: point, rows: matrix }]);
  return { trials, chance: meanChances(trials, forecast) };
}

function covariateResiduals({ network, model, data, fit }: CurrentFit) {
  const residuals = probabilityResiduals(data, fit);
  return model.design.columns.map(({ covariate }) => {
    const { name, label, unit } = covariate;
    const values = Float64Array.from(
      network.rows,
      ({ seal }) => covariate.valueOf(network.covariates[seal]) ?? Number.NaN,
    );
    const { bins } = residualsAgainst(residuals, data.weight, { name, values });
    return { name, label, unit, bins };
  });
}
