import { backtest } from '../../analytics/backtest/backtest.ts';
import { backtestTrials } from '../../analytics/backtest/backtest-trials.ts';
import { baselineForecasts } from '../../analytics/backtest/baselines.ts';
import { type CutoffModel, modelForecast } from '../../analytics/backtest/trial-forecast.ts';
import type { TrialRules } from '../../analytics/backtest/trial-history.ts';
import { classPrior } from '../../analytics/survival/covariate-prior.ts';
import { SEED } from '../forecasting/fit-network.ts';
import type { BacktestEvidence } from '../schemas/evidence-backtest.ts';
import { TRIAL_HORIZON_YEARS } from './cutoffs.ts';
import type { EvidenceNetwork } from './evidence-network.ts';
import type { JudgedModel } from './fit-rows.ts';
import { type CutoffFit, pastModels } from './past-models.ts';

/** Name of the judged model among the methods, and of the same model without damaged shares. */
export const MODEL_NAME = 'model';
export const AGES_ALONE_NAME = 'ages alone';

export interface BacktestInputs {
  readonly network: EvidenceNetwork;
  readonly model: JudgedModel;
  /** The model in use reads damaged shares. */ readonly readsShares: boolean;
  /** Design rows of the seals of the tried histories, in their order. */ readonly matrix: Float64Array;
  readonly rules: TrialRules;
  /** ISO days, rising, at least one. */ readonly cutoffs: readonly string[];
}

/**
 * Fits the model in use again to the records up to each cut-off and judges it by what was found afterwards, beside the
 * simple methods and, where it reads damaged shares, beside the same model of ages alone.
 * @param progress share done, 0-1; what it throws stops the work
 */
export function backtestEvidence(inputs: BacktestInputs, progress: (share: number) => void): BacktestEvidence {
  const { network, rules, cutoffs } = inputs;
  const options = { cutoffs, horizonYears: TRIAL_HORIZON_YEARS };
  const found = backtestTrials(network.histories, rules, options, (share) => progress(0.1 * share));
  const { failureThresholdShare } = rules;
  const { fits, agesAlone, withShares } = pastModels({ ...inputs, failureThresholdShare }, found.knownBefore, (share) =>
    progress(0.1 + 0.5 * share),
  );
  progress(0.6);
  const forecastOf = (name: string, models: readonly CutoffModel[]) => modelForecast(name, found.trials, models);
  const baselines = baselineForecasts(found, (sealantClass) => classPrior(sealantClass).medianYears);
  const report = backtest(
    found.trials,
    forecastOf(MODEL_NAME, withShares ?? agesAlone),
    [...(withShares ? [forecastOf(AGES_ALONE_NAME, agesAlone)] : []), ...baselines.forecasts],
    { seed: SEED },
    (share) => progress(0.6 + 0.35 * share),
  );
  return {
    ...report,
    readsShares: withShares !== null,
    horizonYears: TRIAL_HORIZON_YEARS,
    cutoffFits: fits.map(cutoffFit),
    fixedLives: baselines.fixedLives,
    leftOutSeals: found.leftOutSeals,
    laterSealTrials: found.laterSealTrials,
    segmentsJudged: new Set(found.trials.segment).size,
    segmentsInNetwork: network.segments,
  } as BacktestEvidence;
}

function cutoffFit({ known, ages, read }: CutoffFit): BacktestEvidence['cutoffFits'][number] {
  const { cutoff, rows, readings } = known;
  const { fit, note } = read ?? ages;
  return {
    cutoff,
    rows: rows.seal.length,
    failures: rows.upperYears.reduce((sum, upper) => sum + Number(upper < Infinity), 0),
    readings: readings.readingShare.length,
    readsShares: Boolean(read?.shares),
    status: fit?.status ?? 'no-events',
    note,
  };
}
