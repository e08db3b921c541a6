import type { ConditionData, ConditionFit, GrowthDraws, ReadingModel } from '../../analytics/condition/condition.ts';
import { FULL_LIMIT_SHARE } from '../../analytics/condition/condition.ts';
import { inspectorNames, packReadings } from '../../analytics/condition/share-lists.ts';
import type { SumThreads } from '../../analytics/numeric/chunk-sums.ts';
import type { OffsetFit } from '../../analytics/pooling/pooled-levels.ts';
import type { AftData, AftFit, AftPrior, PosteriorDraws } from '../../analytics/survival/aft.ts';
import { aftPrior, type LifePriors } from '../../analytics/survival/covariate-prior.ts';
import { type Design, designMatrix, learnDesign } from '../../analytics/survival/covariate-rows.ts';
import { priorDraws } from '../../analytics/survival/prior-draws.ts';
import { TWO_THREADS } from '../jobs/sum-threads.ts';
import type { Settings } from '../schemas/settings.ts';
import type { Family } from '../schemas/words.ts';
import { type FittedLevels, fitLevels, type LevelsFit, type Refittable } from './fit-levels.ts';
import { fitOfAges, fitOfShares } from './fit-ways.ts';
import { type FittedYears, fitYears } from './fit-years.ts';
import { lifePriors } from './life-priors.ts';
import { DAYS_PER_YEAR, type Network } from './network.ts';
import { pickDraws, pickEffects, pickGrowth, spreadDraws } from './spread-draws.ts';
import { withoutCovariates } from './without-covariates.ts';

/** Draws of the posterior that every forecast averages over. More sharpen intervals little and cost in proportion. */
export const DRAWS = 200;
/** Where seals are many so many stand for all, spread over them: what they miss is a part of a posterior as narrow as a percent. */
const DRAWS_OF_MANY = 40;
export const MANY_SEALS = 50_000;
/** One seed for all runs: the same records and settings give the same numbers. */
export const SEED = 20_260_701;
/** Of how much years differ; effects of levels have the one before. */
const YEARS_SEED = SEED + 2;

/** What a fit depends on besides the records. */
export type FitSettings = Pick<
  Settings,
  'family' | 'failureThresholdShare' | 'conditionModel' | 'leftOutCovariates' | 'priors' | 'pooling'
>;

export interface FittedModel {
  readonly family: Family;
  readonly design: Design;
  /** What was believed, and as the columns of the design take it. */ readonly priors: LifePriors;
  readonly prior: AftPrior;
  /** null: there was no seal to learn from, and the draws are the prior's own. */ readonly fit: AftFit | null;
  readonly draws: PosteriorDraws;
  /** Effects of districts, facilities and lots; null: the settings say not to look, or there is nothing to look at. */
  readonly levels: FittedLevels | null;
  /** How much calendar years differ. */ readonly years: FittedYears;
  /** What damaged shares tell; null where nothing was learnt from them because the settings say so or nothing is there. */
  readonly condition: FittedCondition | null;
  /** The fit of ages alone: `fit` itself unless damaged shares are used. */ readonly agesAlone: AftFit | null;
  readonly fitSeconds: number;
}

/** Damaged shares and what was made of them. */
export interface FittedCondition {
  readonly fit: ConditionFit;
  /** Names in the order of the fit's indices. */ readonly inspectors: readonly string[];
  /** null: the threshold model stands. */
  readonly growth: GrowthDraws | null;
  readonly reading: ReadingModel;
}

/**
 * Fits the service-life model to the network with its weakly informative priors. Ages are in years.
 * @param threads whoever adds up likelihoods: the model is the same bits
 */
export function fitNetwork(network: Network, settings: FitSettings, threads: SumThreads = TWO_THREADS): FittedModel {
  const { family } = settings;
  const design = withoutCovariates(learnDesign(network.seals), settings.leftOutCovariates);
  const priors = lifePriors(settings.priors);
  const prior = aftPrior(family, design, priors);
  const began = performance.now();
  const made = fitRows(network, design, prior, { settings, threads });
  return { family, design, priors, prior, ...made, fitSeconds: (performance.now() - began) / 1000 };
}

type FittedRows = Pick<FittedModel, 'fit' | 'draws' | 'levels' | 'years' | 'condition' | 'agesAlone'>;

interface Fitting {
  readonly settings: FitSettings;
  readonly threads: SumThreads;
}

function fitRows(network: Network, design: Design, prior: AftPrior, { settings, threads }: Fitting): FittedRows {
  const { family } = settings;
  if (network.rows.length === 0) {
    const draws = priorDraws(prior, family, { draws: DRAWS, seed: SEED });
    const years = fitYears(network, null, { draws: DRAWS, seed: YEARS_SEED });
    return { fit: null, draws, levels: null, years, condition: null, agesAlone: null };
  }
  const data = aftData(network, design);
  const options = { family, prior, draws: DRAWS, seed: SEED, threads };
  if (settings.conditionModel === 'off' || settings.failureThresholdShare >= FULL_LIMIT_SHARE) {
    const way = fitOfAges(data, options);
    const { fit, draws, levels } = fewOfMany(network, { family, design }, withLevels(network, way, settings));
    const years = yearsOf(network, data, fit.life, { draws, levels });
    return { fit: fit.life, draws, levels, years, condition: null, agesAlone: way.first.life };
  }
  const lists = network.rows.map((row) => row.readings);
  const inspectors = inspectorNames(lists);
  const withShares: ConditionData = { ...data, ...packReadings(lists, inspectors) };
  const way = fitOfShares(withShares, { ...options, failureThresholdShare: settings.failureThresholdShare });
  const found = withLevels(network, way, settings);
  const { fit, draws: made, levels } = fewOfMany(network, { family, design }, found);
  const { growth, reading, ...draws } = made;
  return {
    fit: fit.life,
    draws,
    levels,
    years: yearsOf(network, data, fit.life, { draws, levels }),
    condition: { fit: fit.found, inspectors, growth, reading },
    agesAlone: way.first.found.agesAlone,
  };
}

/** With fewer draws where seals are many. */
function fewOfMany<Fit, Draws extends PosteriorDraws & { readonly growth?: GrowthDraws | null }>(
  { rows }: Network,
  model: Pick<FittedModel, 'family' | 'design'>,
  made: LevelsFit<Fit, Draws>,
): LevelsFit<Fit, Draws> {
  if (rows.length <= MANY_SEALS) return made;
  const { draws, levels } = made;
  const picked = spreadDraws({ ...model, draws }, DRAWS_OF_MANY);
  const growth = draws.growth ? { growth: pickGrowth(draws.growth, picked) } : {};
  return {
    ...made,
    draws: { ...pickDraws(draws, picked), ...growth },
    levels: levels && { ...levels, draws: levels.draws.map((grouping) => pickEffects(grouping, picked)) },
  };
}

const yearsOf = (
  network: Network,
  data: AftData,
  fit: AftFit,
  { draws, levels }: Pick<FittedModel, 'draws' | 'levels'>,
): FittedYears =>
  fitYears(network, { data, fit, effectOfRow: levels?.effectOfRow ?? null }, { draws: draws.draws, seed: YEARS_SEED });

/** The fit with its draws, and with effects of levels unless the settings say not to. */
function withLevels<Fit extends OffsetFit, Draws extends PosteriorDraws>(
  network: Network,
  way: Refittable<Fit, Draws>,
  { pooling }: FitSettings,
): LevelsFit<Fit, Draws> {
  if (pooling === 'off') {
    const fit = way.finished();
    return { fit, draws: way.drawsOf(fit), levels: null };
  }
  return fitLevels(network, way);
}

/** The rows of a fit, ages in years. */
export function aftData({ rows }: Pick<Network, 'rows'>, design: Design): AftData {
  const years = (daysOf: (row: Network['rows'][number]) => number) =>
    Float64Array.from(rows, (row) => daysOf(row) / DAYS_PER_YEAR);
  return {
    entry: years((row) => row.observation.entryDays),
    lower: years((row) => row.observation.lowerDays),
    upper: years((row) => row.observation.upperDays),
    weight: new Float64Array(rows.length).fill(1),
    covariates: designMatrix(
      design,
      rows.map((row) => row.covariates),
    ),
    names: design.names,
    intercept: false,
  };
}
