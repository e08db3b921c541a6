import { mixtureQuantile, mixtureSurvival } from '../../analytics/forecast/life-mixture.ts';
import {
  classPrior,
  factorOfLogSd,
  type LifePriors,
  priorWorthFailures,
} from '../../analytics/survival/covariate-prior.ts';
import type { ModelReport } from '../schemas/model.ts';
import type { ClassPriorRow, FittedClass, Priors, PriorTable } from '../schemas/priors.ts';
import type { Settings } from '../schemas/settings.ts';
import { SEALANT_CLASSES, type SealantClass } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import { lifePriors, PUBLISHED_EFFECTS, PUBLISHED_SHAPE, priorsKey, publishedClass } from './life-priors.ts';
import { priorLife } from './seal-life.ts';

const NOTE =
  'A belief is worth 1 / (shape² x SD²) observed failures, SD being that of its log median. A seal of the class at average ' +
  'conditions is meant throughout; the sentence allows for not knowing the median and the shape.';

/** What is believed with some beliefs, saved or not, beside what the model in use and the one before made of theirs. */
export async function priorTable(store: Store, priors: Priors | null): Promise<PriorTable> {
  const settings = await store.readSettings();
  const { now, before } = await lastTwo(store);
  const life = lifePriors(priors);
  const { effects, shape } = priors ?? { effects: null, shape: null };
  const effect = factorOfLogSd(life.effectSd);
  return {
    modelVersion: now?.version ?? null,
    versionBefore: before?.version ?? null,
    fittedWithThese: now !== null && priorsKey(now.settingsUsed.priors ?? null) === priorsKey(priors),
    classes: inOrder(now).map((name) => classRow(name, { priors, life, settings, now, before })),
    effects: {
      published: PUBLISHED_EFFECTS,
      believed: effects ?? PUBLISHED_EFFECTS,
      changed: effects !== null,
      logSd: life.effectSd,
      sentence: `One standard deviation, or one switch, makes a seal last ${(1 / effect).toFixed(2)} to ${effect.toFixed(2)} times as long (95 %).`,
    },
    shape: {
      published: PUBLISHED_SHAPE,
      believed: shape ?? PUBLISHED_SHAPE,
      changed: shape !== null,
      fitted: now?.shape ?? null,
      before: before?.shape ?? null,
      sentence: shapeSentence(life, settings.family),
    },
    note: NOTE,
  };
}

/** The model in use, and the one fitted before it. */
async function lastTwo(store: Store): Promise<{ now: ModelReport | null; before: ModelReport | null }> {
  const now = (await store.readModelReport()) as ModelReport | null;
  const reports = (await store.listModelReports()) as ModelReport[];
  return { now, before: reports.find(({ version }) => version < (now?.version ?? 0)) ?? null };
}

/** Classes that the model knows first, those most seen to fail on top. */
function inOrder(now: ModelReport | null): SealantClass[] {
  const failures = new Map(now?.classes.map((each) => [each.sealantClass, each.failures]));
  const rank = (name: SealantClass) => failures.get(name) ?? -1;
  return [...SEALANT_CLASSES].sort((a, b) => rank(b) - rank(a));
}

interface RowParts {
  readonly priors: Priors | null;
  readonly life: LifePriors;
  readonly settings: Pick<Settings, 'family'>;
  readonly now: ModelReport | null;
  readonly before: ModelReport | null;
}

function classRow(name: SealantClass, { priors, life, settings, now, before }: RowParts): ClassPriorRow {
  const published = publishedClass(name);
  const own = priors?.classes[name];
  const worthFailures = priorWorthFailures(classPrior(name, life.classes), life.shapeMedian);
  const row = {
    sealantClass: name,
    published,
    believed: own ?? published,
    changed: own !== undefined,
    worthFailures,
    sentence: predictiveSentence(life, settings.family, name),
    fitted: fittedClass(now, name),
    before: fittedClass(before, name),
  };
  return { ...row, caution: cautionOf(row) };
}

function fittedClass(report: ModelReport | null, name: SealantClass): FittedClass | null {
  const found = report?.classes.find(({ sealantClass }) => sealantClass === name);
  if (!found) return null;
  const { medianLifeYears, observations, failures, dataShare, priorMedianLifeYears } = found;
  const believedMedianYears = priorMedianLifeYears ?? publishedClass(name).medianYears;
  return { believedMedianYears, medianLifeYears, observations, failures, dataShare };
}

/** What the belief says will happen, so that a reader can tell whether it is theirs. */
function predictiveSentence(priors: LifePriors, family: Settings['family'], name: SealantClass): string {
  const life = priorLife({ family, priors }, name);
  const half = mixtureQuantile(life, 0.5);
  const gone = percent(1 - mixtureSurvival(life, 1));
  return `${gone} gone in year 1, half by year ${half.toFixed(half < 10 ? 1 : 0)}, ${percent(mixtureSurvival(life, 40))} beyond year 40.`;
}

function percent(share: number): string {
  if (share < 0.001) return 'none';
  return share < 0.01 ? 'under 1 %' : `${Math.round(100 * share)} %`;
}

/** A belief that outweighs the records, or that they contradict. */
function cautionOf({ believed, worthFailures, fitted }: Omit<ClassPriorRow, 'caution'>): string | null {
  if (fitted && worthFailures > Math.max(3, fitted.failures))
    return `Weighs as much as ${worthFailures.toFixed(0)} failures, and ${fitted.failures} were seen: the belief decides, not the records.`;
  const median = fitted?.medianLifeYears.median;
  if (
    median &&
    fitted.failures > 0 &&
    Math.abs(Math.log(median / believed.medianYears)) > Math.log(believed.rangeFactor)
  )
    return `The model in use says ${median.toFixed(1)} years, outside this belief: look whether it, or the records, can be right.`;
  return null;
}

function shapeSentence({ shapeMedian, shapeLogSd }: LifePriors, family: Settings['family']): string {
  if (family === 'exponential') return 'The exponential family has no shape: old seals fail no faster than new ones.';
  const factor = factorOfLogSd(shapeLogSd);
  const [low, high] = [shapeMedian / factor, shapeMedian * factor];
  const meaning = low > 1 ? 'seals wear out' : high < 1 ? 'early failures stand out' : 'seals may or may not wear out';
  return `Shape from ${low.toFixed(1)} to ${high.toFixed(1)} (95 %): ${meaning}.`;
}
