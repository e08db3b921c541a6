import type { ConditionData, ConditionFit, GrowthDraws, ReadingModel } from '../../analytics/condition/condition.ts';
import { FULL_LIMIT_SHARE } from '../../analytics/condition/condition.ts';
import { inspectorNames, packReadings } from '../../analytics/condition/share-lists.ts';
import type { SumThreads } from '../../analytics/numeric/chunk-sums.ts';
import type { AftData, AftFit, AftPrior, PosteriorDraws } from '../../analytics/survival/aft.ts';
import { aftPrior, type LifePriors } from '../../analytics/survival/covariate-prior.ts';
import { type Design, designMatrix, learnDesign } from '../../analytics/survival/covariate-rows.ts';
import { fitAft } from '../../analytics/survival/fit-aft.ts';
import { posteriorDraws } from '../../analytics/survival/posterior.ts';
import { priorDraws } from '../../analytics/survival/prior-draws.ts';
import { TWO_THREADS } from '../jobs/sum-threads.ts';
import type { Settings } from '../schemas/settings.ts';
import type { Family } from '../schemas/words.ts';
import { fitShares } from './fit-shares.ts';
import { lifePriors } from './life-priors.ts';
import { DAYS_PER_YEAR, type Network } from './network.ts';
import { withoutCovariates } from './without-covariates.ts';

/** Draws of the posterior that every forecast averages over. More sharpen intervals little and cost in proportion. */
export const DRAWS = 200;
/**
 * Fewer do where seals are many: limits of an 80 % interval are off by about 1.7 / sqrt(draws) of the posterior's own SD,
 * which is then a percent or so of a life.
 */
const DRAWS_OF_MANY = 80;
const MANY_SEALS = 50_000;
const drawsFor = ({ rows }: Network): number => (rows.length > MANY_SEALS ? DRAWS_OF_MANY : DRAWS);
/** One seed for all runs: the same records and settings give the same numbers. */
export const SEED = 20_260_701;

/** What a fit depends on besides the records. */
export type FitSettings = Pick<
  Settings,
  'family' | 'failureThresholdShare' | 'conditionModel' | 'leftOutCovariates' | 'priors'
>;

export interface FittedModel {
  readonly family: Family;
  readonly design: Design;
  /** What was believed, and as the columns of the design take it. */ readonly priors: LifePriors;
  readonly prior: AftPrior;
  /** null: there was no seal to learn from, and the draws are the prior's own. */ readonly fit: AftFit | null;
  readonly draws: PosteriorDraws;
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
  const shared = { family, design, priors, prior };
  const began = performance.now();
  const seconds = () => (performance.now() - began) / 1000;
  if (network.rows.length === 0) {
    const draws = priorDraws(prior, family, { draws: DRAWS, seed: SEED });
    return { ...shared, fit: null, draws, condition: null, agesAlone: null, fitSeconds: seconds() };
  }
  const data = aftData(network, design);
  if (settings.conditionModel === 'off' || settings.failureThresholdShare >= FULL_LIMIT_SHARE) {
    const fit = converged(fitAft(data, { family, prior, threads }));
    const draws = posteriorDraws(data, fit, prior, { draws: drawsFor(network), seed: SEED, threads });
    return { ...shared, fit, draws, condition: null, agesAlone: fit, fitSeconds: seconds() };
  }
  return { ...shared, ...fitWithShares(network, data, { prior, settings, threads }), fitSeconds: seconds() };
}

interface Sharing {
  readonly prior: AftPrior;
  readonly settings: FitSettings;
  readonly threads: SumThreads;
}

function fitWithShares(network: Network, ages: AftData, { prior, settings, threads }: Sharing) {
  const { family, failureThresholdShare } = settings;
  const lists = network.rows.map((row) => row.readings);
  const inspectors = inspectorNames(lists);
  const data: ConditionData = { ...ages, ...packReadings(lists, inspectors) };
  const { found, draw } = fitShares(data, {
    family,
    prior,
    failureThresholdShare,
    draws: drawsFor(network),
    seed: SEED,
    threads,
  });
  const fit = converged(found.life);
  const { growth, reading, ...draws } = draw();
  const condition: FittedCondition = { fit: found, inspectors, growth, reading };
  return { fit, draws, condition, agesAlone: found.used ? fitAft(ages, { family, prior, threads }) : fit };
}

function converged(fit: AftFit): AftFit {
  if (!fit.converged) throw new Error(`The fit did not converge (${fit.status}). ${fit.warnings.join(' ')}`);
  return fit;
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
