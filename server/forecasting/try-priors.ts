import { intervalOf } from '../../analytics/forecast/draw-table.ts';
import { TaskCancelled, type TaskContext } from '../jobs/task.ts';
import type { ClassLife } from '../schemas/model.ts';
import type { Priors, PriorTrial, TriedClass } from '../schemas/priors.ts';
import type { Settings } from '../schemas/settings.ts';
import type { Store } from '../store/store.ts';
import { classMedians } from './describe-classes.ts';
import { type FittedModel, fitNetwork } from './fit-network.ts';
import { priorsKey } from './life-priors.ts';
import { readNetwork } from './network.ts';

/** Under what the store keeps the newest trial; it belongs to no model version. */
const TRIAL = 'prior-trial';
const NO_VERSION = 0;

interface Stored extends Omit<PriorTrial, 'outdated'> {
  /** Settings that both fits had, but for the beliefs, and the beliefs that were saved then. */ readonly madeWith: string;
}

/** The newest trial; an empty one before the first. */
export async function readPriorTrial(store: Store): Promise<PriorTrial> {
  const stored = (await store.readDocument(TRIAL, NO_VERSION)) as Stored | null;
  if (!stored)
    return {
      madeAt: null,
      dataVersion: null,
      outdated: false,
      priors: null,
      classes: [],
      shape: null,
      summary: 'No other beliefs have been tried yet: POST /api/priors/trials.',
    };
  const { madeWith, ...trial } = stored;
  const now = madeWithKey(await store.readSettings());
  return { ...trial, outdated: trial.dataVersion !== (await store.dataVersion()) || madeWith !== now };
}

/**
 * Fits the model to the same records with the saved beliefs and with others, and keeps the medians of both. No forecast and
 * no setting changes. @throws TaskCancelled, after which the last trial stays
 */
export async function tryPriors(priors: Priors | null, context: TaskContext): Promise<void> {
  const { store } = context;
  const settings = await store.readSettings();
  const dataVersion = await store.dataVersion();
  const network = await readNetwork(store, settings, context.today, (share) =>
    tell(context, 0.4 * share, 'Reading the records'),
  );
  tell(context, 0.4, 'Fitting with the saved beliefs');
  const saved = fitNetwork(network, settings);
  tell(context, 0.7, 'Fitting with the beliefs that are tried');
  const tried = fitNetwork(network, { ...settings, priors });
  tell(context, 1, 'Writing the trial');
  const before = classMedians(network, saved);
  const after = classMedians(network, tried);
  const classes = before.map((each, k) => triedClass(each, after[k]));
  const document: Stored = {
    madeAt: new Date().toISOString(),
    dataVersion,
    priors,
    classes,
    shape: settings.family === 'weibull' ? { saved: shapeOf(saved), tried: shapeOf(tried) } : null,
    summary: summaryOf(classes, priorsKey(priors) === priorsKey(settings.priors)),
    madeWith: madeWithKey(settings),
  };
  await store.saveDocument(TRIAL, NO_VERSION, document);
}

type Medians = Pick<ClassLife, 'sealantClass' | 'observations' | 'failures' | 'medianLifeYears'> & {
  readonly believedYears: number;
};

function triedClass(saved: Medians, tried: Medians): TriedClass {
  const { sealantClass, observations, failures } = saved;
  return {
    sealantClass,
    observations,
    failures,
    believedYears: { saved: saved.believedYears, tried: tried.believedYears },
    saved: saved.medianLifeYears,
    tried: tried.medianLifeYears,
    sentence: changeWords(saved, tried),
  };
}

/** Less than this is not worth a word: intervals are wider by far. */
const SMALL_CHANGE = 0.005;

function changeWords(saved: Medians, tried: Medians): string {
  const ratio = tried.medianLifeYears.median / saved.medianLifeYears.median;
  const believed = tried.believedYears / saved.believedYears;
  if (Math.abs(ratio - 1) < SMALL_CHANGE)
    return Math.abs(believed - 1) < SMALL_CHANGE ? 'Unchanged.' : 'Unchanged: the records decide.';
  const change = `${Math.abs(100 * (ratio - 1)).toFixed(ratio > 0.9 && ratio < 1.1 ? 1 : 0)} % ${ratio > 1 ? 'longer' : 'shorter'}`;
  if (Math.abs(believed - 1) < SMALL_CHANGE)
    return `${change}, through what is shared with other classes or is believed less surely.`;
  const share = Math.log(ratio) / Math.log(believed);
  return `${change}: ${Math.round(100 * Math.min(1, Math.max(0, share)))} % of the change of belief comes through.`;
}

function summaryOf(classes: readonly TriedClass[], same: boolean): string {
  if (same) return 'These are the saved beliefs, so nothing changes.';
  const changes = classes.map(({ saved, tried }) => Math.abs(Math.log(tried.median / saved.median)));
  const moved = changes.filter((change) => change >= SMALL_CHANGE).length;
  if (moved === 0) return 'No median life changes by as much as half a per cent: the records decide.';
  const most = Math.max(...changes);
  const words = `the most by ${(100 * Math.expm1(most)).toFixed(1)} %`;
  const inside = classes.every(({ saved, tried }) => tried.median >= saved.lower && tried.median <= saved.upper);
  return (
    `The median life of ${moved} of ${classes.length} classes changes by half a per cent or more, ${words}; ` +
    (inside ? 'all stay inside their 80 % intervals of before.' : 'some leave their 80 % intervals of before.')
  );
}

const shapeOf = ({ draws }: FittedModel) => intervalOf(draws.scale.map((sigma) => 1 / sigma));

function madeWithKey(settings: Settings): string {
  const { family, failureThresholdShare, inspectionMethod, conditionModel, leftOutCovariates, priors } = settings;
  const { planningDate, stationLimitKm } = settings;
  return JSON.stringify([
    ...[
      family,
      failureThresholdShare,
      inspectionMethod,
      conditionModel,
      [...leftOutCovariates].sort(),
      priorsKey(priors),
    ],
    ...[planningDate, stationLimitKm],
  ]);
}

function tell(context: TaskContext, share: number, step: string): void {
  if (context.cancelled()) throw new TaskCancelled();
  context.progress(share, step);
}
