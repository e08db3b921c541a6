import erfc from '@stdlib/math-base-special-erfc';
import type { AftData, AftPrior, Family, FitStatus } from './aft.ts';
import type { Estimate } from './delta-method.ts';
import { fitAft } from './fit-aft.ts';
import { fitGeneralisedGamma } from './generalised-gamma.ts';
import { type FittedModel, lifeQuantileOf, meanCovariates } from './model-comparison-life.ts';

export type ComparedFamily = Family | 'generalised-gamma';

export const COMPARED_FAMILIES: readonly ComparedFamily[] = [
  'weibull',
  'lognormal',
  'loglogistic',
  'exponential',
  'generalised-gamma',
];

const FAMILY_NAMES: Readonly<Record<ComparedFamily, string>> = {
  weibull: 'Weibull',
  lognormal: 'log-normal',
  loglogistic: 'log-logistic',
  exponential: 'exponential',
  'generalised-gamma': 'generalised gamma',
};

export interface ComparisonOptions {
  /** All unless given. */ readonly families?: readonly ComparedFamily[];
  /** null or not given: maximum likelihood, which the criteria are made for. The generalised gamma takes the Weibull's. */
  readonly prior?: ((family: Family) => AftPrior) | null;
  /** Covariates, without intercept, of the seal whose lives are given; the weighted mean unless given. */
  readonly covariates?: ArrayLike<number>;
  /** Of the intervals; 0.9 unless given. */ readonly level?: number;
  /** What one unit of time is called; years unless given. */ readonly unit?: string;
}

export interface ComparedModel {
  readonly family: ComparedFamily;
  readonly name: string;
  readonly fit: FittedModel;
  /** Coefficients, log sigma and Q as far as they are estimated. */ readonly parameters: number;
  /** This and the rest are null where the fit has no maximum. */ readonly logLikelihood: number | null;
  readonly aic: number | null;
  /** Also null where failures do not exceed parameters by 2. */ readonly aicc: number | null;
  readonly bic: number | null;
  /** AIC less the least AIC. */ readonly aicDifference: number | null;
  /** Share of the families' total weight of evidence, by AIC. */ readonly weight: number | null;
  readonly median: Estimate | null;
  /** The age by which a tenth has failed. */ readonly tenPercentLife: Estimate | null;
  readonly status: FitStatus;
  /** What the family means for the plan, or why it has no fit. */ readonly sentence: string;
}

/** Does the fuller family fit better than chance alone would make it? */
export interface NestedTest {
  readonly simpler: ComparedFamily;
  readonly fuller: ComparedFamily;
  /** Twice the gain in log-likelihood, 0 or more. */ readonly statistic: number;
  readonly degrees: 1 | 2;
  /** Chance of such a gain if the simpler family were true. */ readonly chance: number;
  readonly sentence: string;
}

export interface ModelComparison {
  readonly models: readonly ComparedModel[];
  readonly nested: readonly NestedTest[];
  /** Least AIC; null where no family has a fit. */ readonly best: ComparedFamily | null;
  /** The n of AICc and BIC. */ readonly failures: number;
  readonly sentence: string;
}

/** Models nearer than this in AIC have much the same support (Burnham and Anderson, Model Selection, 2002, from memory). */
const SAME_SUPPORT = 2;
const NESTED: readonly (readonly [ComparedFamily, ComparedFamily, 1 | 2])[] = [
  ['exponential', 'weibull', 1],
  ['exponential', 'generalised-gamma', 2],
  ['weibull', 'generalised-gamma', 1],
  ['lognormal', 'generalised-gamma', 1],
];

/**
 * Fits several families to the same rows and sets their criteria, and what each means for the plan, side by side.
 * AICc and BIC count failures as their n, since seals still sound say little (Volinsky and Raftery, Biometrics 56, 2000).
 * Log-likelihoods compare only where all families see the same rows coded the same way, as here.
 * @throws RangeError as `fitAft`
 */
export function compareModels(data: AftData, options: ComparisonOptions = {}): ModelComparison {
  const { families = COMPARED_FAMILIES, prior = null, level = 0.9, unit = 'years' } = options;
  const covariates = options.covariates ?? meanCovariates(data);
  const fits = families.map((family) => fitTo(data, family, prior));
  const aics = fits.map((fit) => (fit.converged ? 2 * parametersOf(fit) - 2 * fit.logLikelihood : null));
  const least = aics.reduce<number>((a, b) => Math.min(a, b ?? Infinity), Infinity);
  const totalWeight = aics.reduce<number>((sum, aic) => sum + (aic === null ? 0 : Math.exp((least - aic) / 2)), 0);
  const models = fits.map((fit, k): ComparedModel => {
    const aic = aics[k];
    const parameters = parametersOf(fit);
    const common = { family: fit.family, name: FAMILY_NAMES[fit.family], fit, parameters, status: fit.status };
    if (aic === null) return { ...common, ...NO_CRITERIA, sentence: refusal(fit) };
    const median = lifeQuantileOf(fit, covariates, { p: 0.5, level });
    const tenPercentLife = lifeQuantileOf(fit, covariates, { p: 0.1, level });
    return {
      ...common,
      logLikelihood: fit.logLikelihood,
      aic,
      aicc: correctedAic(aic, parameters, fit.failures),
      bic: parameters * Math.log(Math.max(1, fit.failures)) - 2 * fit.logLikelihood,
      aicDifference: aic - least,
      weight: Math.exp((least - aic) / 2) / totalWeight,
      median,
      tenPercentLife,
      sentence: `${capital(FAMILY_NAMES[fit.family])}: half of such seals fail by ${span(median, unit, level)} and a tenth by ${span(tenPercentLife, unit, level)}.`,
    };
  });
  const best = models.find(({ aicDifference }) => aicDifference === 0) ?? null;
  return {
    models,
    nested: NESTED.flatMap((pair) => nestedTest(models, pair)),
    best: best?.family ?? null,
    failures: fits[0]?.failures ?? 0,
    sentence: summary(models, best, unit),
  };
}

const NO_CRITERIA = {
  logLikelihood: null,
  aic: null,
  aicc: null,
  bic: null,
  aicDifference: null,
  weight: null,
  median: null,
  tenPercentLife: null,
};

function fitTo(data: AftData, family: ComparedFamily, prior: ComparisonOptions['prior']): FittedModel {
  if (family === 'generalised-gamma') return fitGeneralisedGamma(data, { prior: prior?.('weibull') ?? null });
  return fitAft(data, { family, prior: prior?.(family) ?? null });
}

function parametersOf({ family, names, droppedNames }: FittedModel): number {
  const shapes = family === 'exponential' ? 0 : family === 'generalised-gamma' ? 2 : 1;
  return names.length - droppedNames.length + shapes;
}

const correctedAic = (aic: number, parameters: number, n: number): number | null =>
  n > parameters + 1 ? aic + (2 * parameters * (parameters + 1)) / (n - parameters - 1) : null;

/** Upper tail of chi-square with one or two degrees of freedom. */
const chiSquareTail = (x: number, degrees: 1 | 2): number =>
  degrees === 1 ? erfc(Math.sqrt(x / 2)) : Math.exp(-x / 2);

function nestedTest(
  models: readonly ComparedModel[],
  [simpler, fuller, degrees]: readonly [ComparedFamily, ComparedFamily, 1 | 2],
): NestedTest[] {
  const small = models.find(({ family }) => family === simpler);
  const large = models.find(({ family }) => family === fuller);
  if (small?.logLikelihood == null || large?.logLikelihood == null) return [];
  const statistic = Math.max(0, 2 * (large.logLikelihood - small.logLikelihood));
  const chance = chiSquareTail(statistic, degrees);
  const numbers = `likelihood ratio ${statistic.toFixed(2)}, ${degrees} degree${degrees === 1 ? '' : 's'} of freedom, ${chanceText(chance)}`;
  const sentence =
    chance < 0.05
      ? `The ${large.name} fits better than the ${small.name} beyond chance (${numbers}).`
      : `The ${large.name} fits no better than the ${small.name} than chance would make it (${numbers}); the simpler one is enough.`;
  return [{ simpler, fuller, statistic, degrees, chance, sentence }];
}

function summary(models: readonly ComparedModel[], best: ComparedModel | null, unit: string): string {
  if (!best) return 'No family has a fit; use a prior, or wait for more failures.';
  const alike = models.filter(({ aicDifference }) => aicDifference !== null && aicDifference <= SAME_SUPPORT);
  const missing = models.filter(({ aic }) => aic === null).map(({ name }) => name);
  const without = missing.length > 0 ? ` No fit was found for: ${missing.join(', ')}.` : '';
  if (alike.length === 1) return `The ${best.name} has clearly the least AIC.${without}`;
  const medians = rangeOf(
    alike.map(({ median }) => median),
    unit,
  );
  const early = rangeOf(
    alike.map(({ tenPercentLife }) => tenPercentLife),
    unit,
  );
  const others = alike.filter((model) => model !== best).map(({ name }) => name);
  return `The ${best.name} has the least AIC, but the records cannot tell it from the ${others.join(' or the ')}: between them the median life is ${medians} and a tenth fails by ${early}.${without}`;
}

function rangeOf(estimates: readonly (Estimate | null)[], unit: string): string {
  const values = estimates.map((estimate) => estimate?.estimate ?? Number.NaN);
  const [low, high] = [Math.min(...values).toPrecision(3), Math.max(...values).toPrecision(3)];
  return low === high ? `${number(low)} ${unit}` : `${number(low)} to ${number(high)} ${unit}`;
}

function span({ estimate, lower, upper }: Estimate, unit: string, level: number): string {
  const life = `${number(estimate.toPrecision(3))} ${unit}`;
  if (lower === null || upper === null) return life;
  return `${life} (${Math.round(100 * level)} % interval ${number(lower.toPrecision(3))} to ${number(upper.toPrecision(3))})`;
}

const number = (text: string): string => String(Number(text));
const chanceText = (chance: number): string => (chance < 0.001 ? 'p below 0.001' : `p = ${chance.toFixed(3)}`);
const refusal = ({ family, warnings }: FittedModel): string =>
  `${capital(FAMILY_NAMES[family])}: no fit. ${warnings[0] ?? ''}`.trim();
const capital = (word: string): string => word.charAt(0).toUpperCase() + word.slice(1);
