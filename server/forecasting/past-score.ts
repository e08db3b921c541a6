import { type BacktestTrials, backtestTrials } from '../../analytics/backtest/backtest-trials.ts';
import { type Scores, scoresOf } from '../../analytics/backtest/scores.ts';
import { meanChances, modelForecast } from '../../analytics/backtest/trial-forecast.ts';
import { designMatrix } from '../../analytics/survival/covariate-rows.ts';
import type { SealCovariates } from '../../analytics/survival/covariate-table.ts';
import { chooseCutoffs, TRIAL_HORIZON_YEARS } from '../evidence/cutoffs.ts';
import type { EvidenceNetwork } from '../evidence/evidence-network.ts';
import { aftDataOf, type JudgedModel, refit } from '../evidence/fit-rows.ts';
import type { Settings } from '../schemas/settings.ts';

/** Past forecasts that models are scored by: the same for all models of one failure threshold. */
export interface PastTrials {
  readonly found: BacktestTrials | null;
  readonly seals: readonly SealCovariates[];
  /** How the cut-off dates were chosen, or why there are none. */ readonly note: string;
}

/** @param progress share done, 0-1; what it throws stops the work */
export function pastTrials(
  network: EvidenceNetwork,
  { failureThresholdShare, inspectionMethod }: Settings,
  planningDate: string,
  progress: (share: number) => void,
): PastTrials {
  const { days: cutoffs, note } = chooseCutoffs(network.years, planningDate);
  const seals = network.sealOfHistory.map((seal) => network.covariates[seal]);
  if (cutoffs.length === 0) return { found: null, seals, note };
  const rules = { failureThresholdShare, inspectionMethod, today: planningDate };
  const options = { cutoffs, horizonYears: TRIAL_HORIZON_YEARS };
  return { found: backtestTrials(network.histories, rules, options, progress), seals, note };
}

/** Fits a model to what was known at each cut-off and scores it by the looks after; null where there are none. */
export function pastScore({ found, seals }: PastTrials, model: JudgedModel): Scores | null {
  if (!found || found.trials.count === 0) return null;
  const rows = designMatrix(model.design, seals);
  const models = found.knownBefore.map((known) => {
    const { draws } = refit(model, aftDataOf(model, known.rows, rows));
    return { family: model.family, draws, rows };
  });
  const { trials } = found;
  return scoresOf(trials, meanChances(trials, modelForecast('compared', trials, models)));
}
