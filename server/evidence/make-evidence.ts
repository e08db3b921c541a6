import type { TrialRules } from '../../analytics/backtest/trial-history.ts';
import { designMatrix } from '../../analytics/survival/covariate-rows.ts';
import { SEED } from '../forecasting/fit-network.ts';
import { decodeModel, type StoredModel } from '../forecasting/stored-model.ts';
import { TaskCancelled, type TaskContext } from '../jobs/task.ts';
import type { EvidenceReport } from '../schemas/evidence.ts';
import type { ModelReport } from '../schemas/model.ts';
import type { Settings } from '../schemas/settings.ts';
import { backtestEvidence } from './backtest-evidence.ts';
import { type Cutoffs, chooseCutoffs, TRIAL_HORIZON_YEARS } from './cutoffs.ts';
import { type CurrentFit, diagnose, fittedTrials } from './diagnostics.ts';
import { type EvidenceNetwork, readEvidenceNetwork } from './evidence-network.ts';
import { aftDataOf, type JudgedModel, judgedModel, refit, TRIAL_DRAWS } from './fit-rows.ts';
import { oddOnes } from './odd-ones.ts';
import { EVIDENCE } from './stored-evidence.ts';

/** Steps of the work with the share of its time that is over when each begins; measured on 100,000 segments. */
const STEPS = {
  read: [0, 'Reading the records'],
  fit: [0.03, 'Fitting the model to what is known'],
  backtest: [0.05, 'Forecasting from past dates and comparing with what was found'],
  diagnostics: [0.2, 'Checking the fit'],
  odd: [0.4, 'Looking for what stands out'],
  write: [0.99, 'Writing the evidence'],
} as const;

/**
 * Tests the model in use against the records and keeps what came out beside it. A cancelled or failed run leaves earlier
 * evidence as it was.
 * @throws Error when there is no model yet
 */
export async function makeEvidence(context: TaskContext): Promise<EvidenceReport> {
  const { store } = context;
  const report = (await store.readModelReport()) as ModelReport | null;
  const bytes = await store.readModelDraws();
  if (!report || !bytes) throw new Error('There is no model to test. Make a forecast first.');
  const settings = settingsOf(await store.readSettings(), report);
  const dataVersion = await store.dataVersion();
  const network = await readEvidenceNetwork(store, settings, report.planningDate, (share) =>
    tell(context, 'read', share),
  );
  const evidence = judge(context, { report, stored: decodeModel(bytes), settings, network, dataVersion });
  tell(context, 'write');
  await store.saveDocument(EVIDENCE, report.version, evidence);
  return evidence;
}

interface Inputs {
  readonly report: ModelReport;
  readonly stored: StoredModel;
  readonly settings: Settings;
  readonly network: EvidenceNetwork;
  readonly dataVersion: number;
}

/** The settings that the model was fitted with, whatever they are now. */
const settingsOf = (settings: Settings, { settingsUsed }: ModelReport): Settings => ({
  ...settings,
  family: settingsUsed.family,
  failureThresholdShare: settingsUsed.failureThresholdShare,
  inspectionMethod: settingsUsed.inspectionMethod as Settings['inspectionMethod'],
});

function judge(context: TaskContext, inputs: Inputs): EvidenceReport {
  const { report, settings, network, dataVersion } = inputs;
  const { planningDate } = report;
  const rules = {
    failureThresholdShare: settings.failureThresholdShare,
    inspectionMethod: settings.inspectionMethod,
    today: planningDate,
  };
  const model = judgedModel(inputs.stored, network.covariates);
  const tried = network.sealOfHistory.map((seal) => network.covariates[seal]);
  const matrix = designMatrix(model.design, tried);
  tell(context, 'fit');
  const current = currentFit(inputs, { model, matrix, rules });
  const cutoffs = chooseCutoffs(network.years, planningDate);
  tell(context, 'backtest');
  const readsShares = inputs.stored.condition !== null;
  const backtest =
    cutoffs.days.length === 0
      ? null
      : backtestEvidence({ network, model, readsShares, matrix, rules, cutoffs: cutoffs.days }, (share) =>
          tell(context, 'backtest', share),
        );
  tell(context, 'diagnostics');
  const diagnostics = current && diagnose(current, (share) => tell(context, 'diagnostics', share));
  tell(context, 'odd');
  return {
    modelVersion: report.version,
    dataVersion,
    madeAt: new Date().toISOString(),
    planningDate,
    settingsUsed: {
      family: model.family,
      failureThresholdShare: settings.failureThresholdShare,
      inspectionMethod: settings.inspectionMethod,
      cutoffs: [...cutoffs.days],
      horizonYears: TRIAL_HORIZON_YEARS,
      draws: TRIAL_DRAWS,
      seed: SEED,
    },
    backtest,
    diagnostics,
    odd: oddOnes(network, current, (share) => tell(context, 'odd', share)),
    notes: notesOf(inputs, cutoffs, current, backtest),
  };
}

/** null where nothing has been observed or the rows carry no fit. */
function currentFit(
  { network, stored }: Inputs,
  shared: { readonly model: JudgedModel; readonly matrix: Float64Array; readonly rules: TrialRules },
): CurrentFit | null {
  const { model } = shared;
  const years = (pick: (row: EvidenceNetwork['rows'][number]) => number) => Float64Array.from(network.rows, pick);
  const covariates = designMatrix(
    model.design,
    network.rows.map(({ seal }) => network.covariates[seal]),
  );
  const rows = {
    seal: network.rows.map((_, i) => i),
    entryYears: years((row) => row.entryYears),
    lowerYears: years((row) => row.lowerYears),
    upperYears: years((row) => row.upperYears),
  };
  const data = aftDataOf(model, rows, covariates);
  const { fit, draws } = refit(model, data);
  if (!fit?.converged) return null;
  // The forecast's own draws, unless a class has come into the records since it was made.
  const sameColumns = stored.design.names.length === model.design.names.length;
  const past = fittedTrials(network, shared.rules, fit, shared.matrix);
  return { ...shared, network, data, fit, draws: sameColumns ? stored.draws : draws, past };
}

function notesOf(
  { report, stored, network, dataVersion }: Inputs,
  cutoffs: Cutoffs,
  current: CurrentFit | null,
  backtest: EvidenceReport['backtest'],
): string[] {
  const { histories, segments } = network;
  const count = (value: number): string => value.toLocaleString('en');
  return [
    cutoffs.note,
    histories.length < segments
      ? `Past forecasts were tried on ${count(histories.length)} of ${count(segments)} segments, spread evenly over the ` +
        'network, and fitted to the records of these alone.'
      : '',
    stored.condition && backtest && !backtest.readsShares
      ? 'Forecasts in use read damaged shares, of which too few were on record at every cut-off date: judged is the same model of ages alone.'
      : '',
    stored.condition
      ? 'Diagnostics, odd ones and early failures are of lives alone: the same model, fitted to ages at which seals were known sound and failed.'
      : '',
    dataVersion === report.dataVersion
      ? ''
      : 'Records have changed since this model was fitted: it was fitted again to what is on record now. Make a new forecast.',
    current ? '' : 'Nothing has been observed that a fit could be made from, so there is nothing to check it by.',
  ].filter(Boolean);
}

function tell(context: TaskContext, step: keyof typeof STEPS, share = 0): void {
  if (context.cancelled()) throw new TaskCancelled();
  const names = Object.keys(STEPS) as (keyof typeof STEPS)[];
  const [from, words] = STEPS[step];
  const next = names[names.indexOf(step) + 1];
  const to = next ? STEPS[next][0] : 1;
  context.progress(from + (to - from) * share, words);
}
