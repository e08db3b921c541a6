import { backtest } from '../../analytics/backtest/backtest.ts';
import { type BacktestTrials, backtestTrials } from '../../analytics/backtest/backtest-trials.ts';
import { baselineForecasts } from '../../analytics/backtest/baselines.ts';
import { type CutoffModel, modelForecast } from '../../analytics/backtest/trial-forecast.ts';
import type { TrialRules } from '../../analytics/backtest/trial-history.ts';
import { classPrior } from '../../analytics/survival/covariate-prior.ts';
import { SEED } from '../forecasting/fit-network.ts';
import type { BacktestEvidence } from '../schemas/evidence-backtest.ts';
import { TRIAL_HORIZON_YEARS } from './cutoffs.ts';
import type { EvidenceNetwork } from './evidence-network.ts';
import { aftDataOf, type JudgedModel, type Refit, refit } from './fit-rows.ts';

/** Name of the judged model among the methods. */
export const MODEL_NAME = 'model';

export interface BacktestInputs {
  readonly network: EvidenceNetwork;
  readonly model: JudgedModel;
  /** Design rows of the seals of the tried histories, in their order. */ readonly matrix: Float64Array;
  readonly rules: TrialRules;
  /** ISO days, rising, at least one. */ readonly cutoffs: readonly string[];
}

/**
 * Fits the model again to the records up to each cut-off and judges it, beside the simple methods, by what was found
 * afterwards. @param progress share done, 0-1; what it throws stops the work
 */
export function backtestEvidence(inputs: BacktestInputs, progress: (share: number) => void): BacktestEvidence {
  const { network, rules, cutoffs } = inputs;
  const options = { cutoffs, horizonYears: TRIAL_HORIZON_YEARS };
  const found = backtestTrials(network.histories, rules, options, (share) => progress(0.3 * share));
  const refits = found.knownBefore.map(({ rows }, c) => {
    progress(0.3 + (0.3 * c) / cutoffs.length);
    return refit(inputs.model, aftDataOf(inputs.model, rows, inputs.matrix));
  });
  const models: CutoffModel[] = refits.map(({ draws }) => ({
    family: inputs.model.family,
    draws,
    rows: inputs.matrix,
  }));
  progress(0.6);
  const baselines = baselineForecasts(found, (sealantClass) => classPrior(sealantClass).medianYears);
  const forecast = modelForecast(MODEL_NAME, found.trials, models);
  const report = backtest(found.trials, forecast, baselines.forecasts, { seed: SEED }, (share) =>
    progress(0.65 + 0.3 * share),
  );
  return {
    ...report,
    horizonYears: TRIAL_HORIZON_YEARS,
    cutoffFits: found.knownBefore.map((known, c) => cutoffFit(known, refits[c])),
    fixedLives: baselines.fixedLives,
    leftOutSeals: found.leftOutSeals,
    laterSealTrials: found.laterSealTrials,
    segmentsJudged: new Set(found.trials.segment).size,
    segmentsInNetwork: network.segments,
  } as BacktestEvidence;
}

function cutoffFit(
  { cutoff, rows }: BacktestTrials['knownBefore'][number],
  { fit, note }: Refit,
): BacktestEvidence['cutoffFits'][number] {
  return {
    cutoff,
    rows: rows.seal.length,
    failures: rows.upperYears.reduce((sum, upper) => sum + Number(upper < Infinity), 0),
    status: fit?.status ?? 'no-events',
    note,
  };
}
