import { aftPrior, type LifePriors } from '../../analytics/survival/covariate-prior.ts';
import { designMatrix, learnDesign } from '../../analytics/survival/covariate-rows.ts';
import { type ComparedModel, compareModels as compareFamilies } from '../../analytics/survival/model-comparison.ts';
import { type EvidenceNetwork, readEvidenceNetwork } from '../evidence/evidence-network.ts';
import { aftDataOf, type JudgedModel } from '../evidence/fit-rows.ts';
import { TaskCancelled, type TaskContext } from '../jobs/task.ts';
import type { ComparisonRequest, ComparisonRow, ModelComparison } from '../schemas/models.ts';
import type { Settings } from '../schemas/settings.ts';
import type { Family } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import { comparisonPlan, keyOf, type PlannedModel, presentModel } from './comparison-plan.ts';
import { comparisonRow, NOTES, summaryOf, withDifferences } from './comparison-words.ts';
import { lifePriors } from './life-priors.ts';
import { type PastTrials, pastScore, pastTrials } from './past-score.ts';
import { withoutCovariates } from './without-covariates.ts';

/** Under what the store keeps the newest comparison; it belongs to no model version. */
const COMPARISON = 'comparison';
const NO_VERSION = 0;
/** Years that intervals of lives are shown with. */
const LEVEL = 0.8;

type Stored = Omit<ModelComparison, 'outdated'>;

/** The newest comparison; an empty one before the first. */
export async function readComparison(store: Store): Promise<ModelComparison> {
  const stored = (await store.readDocument(COMPARISON, NO_VERSION)) as Stored | null;
  if (!stored)
    return {
      madeAt: null,
      dataVersion: null,
      outdated: false,
      rows: [],
      summary: 'No models have been compared yet: POST /api/comparisons.',
      notes: [],
    };
  const present = keyOf(presentModel(await store.readSettings()));
  const rows = stored.rows.map((row) => ({ ...row, current: keyOf(plannedOf(row)) === present }));
  return { ...stored, rows, outdated: stored.dataVersion !== (await store.dataVersion()) };
}

/**
 * Fits each model of a plan to all ages and, at past dates, to what was known then; keeps the table in place of the last.
 * @throws TaskCancelled, after which the last table stays
 */
export async function compareModels(request: ComparisonRequest, context: TaskContext): Promise<void> {
  const { store } = context;
  const settings = await store.readSettings();
  const dataVersion = await store.dataVersion();
  const plan = comparisonPlan(request, settings);
  const thresholds = [...new Set(plan.map((model) => model.failureThresholdShare))];
  const rows: ComparisonRow[] = [];
  let pastNote = '';
  for (const [t, failureThresholdShare] of thresholds.entries()) {
    const models = plan.filter((model) => model.failureThresholdShare === failureThresholdShare);
    const run = new ThresholdRun(context, { ...settings, failureThresholdShare }, (share) =>
      tell(context, (t + share) / thresholds.length, models.length),
    );
    rows.push(...(await run.compare(models)));
    if (failureThresholdShare === settings.failureThresholdShare) pastNote = run.pastNote;
  }
  const compared = withDifferences(rows, presentModel(settings));
  const document: Stored = {
    madeAt: new Date().toISOString(),
    dataVersion,
    rows: compared,
    summary: summaryOf(compared),
    notes: [...NOTES, pastNote].filter(Boolean),
  };
  tell(context, 1, 0);
  await store.saveDocument(COMPARISON, NO_VERSION, document);
}

const plannedOf = ({ family, failureThresholdShare, leftOut }: ComparisonRow): PlannedModel => ({
  family,
  failureThresholdShare,
  leftOut: leftOut.map(({ name }) => name),
});

/** All models of one failure threshold: they read the same records, so these are read once. */
class ThresholdRun {
  pastNote = '';
  readonly #context: TaskContext;
  readonly #settings: Settings;
  readonly #progress: (share: number) => void;

  constructor(context: TaskContext, settings: Settings, progress: (share: number) => void) {
    this.#context = context;
    this.#settings = settings;
    this.#progress = progress;
  }

  async compare(models: readonly PlannedModel[]): Promise<ComparisonRow[]> {
    const planningDate = this.#settings.planningDate ?? this.#context.today;
    const network = await readEvidenceNetwork(this.#context.store, this.#settings, planningDate, (share) =>
      this.#progress(0.2 * share),
    );
    const past = pastTrials(network, this.#settings, planningDate, (share) => this.#progress(0.2 + 0.1 * share));
    this.pastNote = past.note;
    return models.map((model, k) => {
      this.#progress(0.3 + (0.7 * k) / models.length);
      return this.#row(network, past, model);
    });
  }

  #row(network: EvidenceNetwork, past: PastTrials, planned: PlannedModel): ComparisonRow {
    const { family } = planned;
    const priors = lifePriors(this.#settings.priors);
    const design = withoutCovariates(learnDesign(network.covariates), planned.leftOut);
    const judged = (of: Family): JudgedModel => ({ family: of, design, prior: aftPrior(of, design, priors) });
    const usable = family === 'generalised-gamma' ? null : judged(family);
    const model = network.rows.length === 0 ? null : fitOf(network, { ...judged('weibull'), priors }, family);
    return comparisonRow(planned, model, network.rows.length, usable && pastScore(past, usable));
  }
}

function fitOf(
  network: EvidenceNetwork,
  shared: JudgedModel & { readonly priors: LifePriors },
  family: PlannedModel['family'],
): ComparedModel {
  const { rows, covariates } = network;
  const { design, priors } = shared;
  const years = (pick: (row: EvidenceNetwork['rows'][number]) => number) => Float64Array.from(rows, pick);
  const data = aftDataOf(
    shared,
    {
      seal: rows.map((_, i) => i),
      entryYears: years((row) => row.entryYears),
      lowerYears: years((row) => row.lowerYears),
      upperYears: years((row) => row.upperYears),
    },
    designMatrix(
      design,
      rows.map(({ seal }) => covariates[seal]),
    ),
  );
  const prior = (of: Family) => aftPrior(of, design, priors);
  return compareFamilies(data, { families: [family], prior, level: LEVEL }).models[0];
}

function tell(context: TaskContext, share: number, models: number): void {
  if (context.cancelled()) throw new TaskCancelled();
  context.progress(share, models > 0 ? 'Fitting models and trying them on the past' : 'Writing the comparison');
}
