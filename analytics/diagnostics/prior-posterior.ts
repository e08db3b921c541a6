import { intervalOf } from '../forecast/draw-table.ts';
import type { AftData, AftPrior, Family, PosteriorDraws } from '../survival/aft.ts';
import { priorWorthFailures, standardMedian } from '../survival/covariate-prior.ts';

/** Median with its 80 % interval, years. */
export interface LifeRange {
  readonly median: number;
  readonly lower: number;
  readonly upper: number;
}

/** What the records of one class say beside what was believed of it before. Lives at average covariates, switches off. */
export interface ClassKnowledge {
  readonly sealantClass: string;
  readonly seals: number;
  readonly failures: number;
  /** Years under observation and known sound, over all its seals. */ readonly exposureYears: number;
  readonly priorLife: LifeRange;
  readonly posteriorLife: LifeRange;
  /** How many observed failures of the class the prior is worth at the fitted shape. */
  readonly priorWorthFailures: number;
  /** Share of the prior's variance of log life that the records took away: 0 all prior, 1 all data. */
  readonly dataShare: number;
}

export interface ClassKnowledgeInput {
  readonly data: AftData;
  readonly family: Family;
  readonly prior: AftPrior;
  readonly draws: PosteriorDraws;
  /** Classes whose 0/1 columns are the first of `data`, in that order, without an intercept. */
  readonly classes: readonly string[];
}

const Z80 = 1.2815515655446004;

/** @throws RangeError when the data has an intercept or fewer columns than classes */
export function classKnowledge({ data, family, prior, draws, classes }: ClassKnowledgeInput): ClassKnowledge[] {
  if (data.intercept || data.names.length < classes.length)
    throw new RangeError(`The rows have the columns ${data.names.join(', ')}; expected one for each class first`);
  const shape = draws.draws / draws.scale.reduce((sum, scale) => sum + scale, 0);
  return classes.map((sealantClass, c) => {
    const logLives = logMedianDraws(draws, family, c);
    return {
      sealantClass,
      ...recordsOf(data, c),
      priorLife: priorLife(prior, family, c),
      posteriorLife: lifeRange(logLives),
      priorWorthFailures: priorWorthFailures({ logSd: prior.sds[c] }, shape),
      dataShare: Math.min(1, Math.max(0, 1 - varianceOf(coefficientsOf(draws, c)) / prior.sds[c] ** 2)),
    };
  });
}

function recordsOf({ covariates, names, entry, lower, upper, weight }: AftData, c: number) {
  const totals = { seals: 0, failures: 0, exposureYears: 0 };
  for (let i = 0; i < lower.length; i++) {
    if (covariates[i * names.length + c] !== 1) continue;
    totals.seals += weight[i];
    if (upper[i] < Infinity) totals.failures += weight[i];
    totals.exposureYears += weight[i] * (lower[i] - entry[i]);
  }
  return totals;
}

function priorLife(prior: AftPrior, family: Family, c: number): LifeRange {
  const sigma = family === 'exponential' ? 1 : Math.exp(prior.logScaleMean);
  const centre = prior.means[c] + sigma * standardMedian(family);
  const reach = Z80 * prior.sds[c];
  return { median: Math.exp(centre), lower: Math.exp(centre - reach), upper: Math.exp(centre + reach) };
}

const coefficientsOf = ({ coefficients, draws }: PosteriorDraws, c: number): Float64Array => {
  const width = coefficients.length / draws;
  return Float64Array.from({ length: draws }, (_, d) => coefficients[d * width + c]);
};

const logMedianDraws = (draws: PosteriorDraws, family: Family, c: number): Float64Array =>
  coefficientsOf(draws, c).map((coefficient, d) => coefficient + draws.scale[d] * standardMedian(family));

function lifeRange(logLives: Float64Array): LifeRange {
  const { median, lower, upper } = intervalOf(logLives);
  return { median: Math.exp(median), lower: Math.exp(lower), upper: Math.exp(upper) };
}

function varianceOf(values: Float64Array): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length;
}
