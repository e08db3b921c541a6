import { intervalOf } from '../../analytics/forecast/draw-table.ts';
import type { AftFit } from '../../analytics/survival/aft.ts';
import type { AgesAlone, FitReport, ModelReport } from '../schemas/model.ts';
import type { Settings } from '../schemas/settings.ts';
import { conditionReport } from './condition-report.ts';
import { describeClasses } from './describe-classes.ts';
import { describeEffects, describeZones, unusedCovariates } from './describe-effects.ts';
import { type FittedModel, SEED } from './fit-network.ts';
import { fitReport } from './fit-report.ts';
import { priorWords } from './life-priors.ts';
import type { Network } from './network.ts';
import { poolingReport } from './pooling-report.ts';
import type { StoredModel } from './stored-model.ts';
import { BY_CHOICE } from './without-covariates.ts';
import { yearsReport } from './years-report.ts';

interface ReportParts {
  readonly network: Network;
  readonly fitted: FittedModel;
  /** What is kept of the fit. */ readonly model: StoredModel;
  readonly settings: Settings;
  readonly dataVersion: number;
}

/** The fitted model in words and numbers, as stored and shown. */
export function modelReport({ network, fitted, model, settings, dataVersion }: ReportParts): ModelReport {
  const { draws, family } = fitted;
  const fit = fitted.fit ? fitReport(fitted.fit, fitted.fitSeconds) : priorOnly(fitted);
  const dataUse = network.readings.counts().map((count) => ({ ...count, examples: [...count.examples] }));
  return {
    version: 0, // the store gives the number
    fittedAt: new Date().toISOString(),
    planningDate: network.planningDate,
    dataVersion,
    settingsUsed: {
      family,
      failureThresholdShare: settings.failureThresholdShare,
      inspectionMethod: settings.inspectionMethod,
      prior: priorWords(settings.priors),
      seed: SEED,
      draws: fitted.draws.draws,
      conditionModel: settings.conditionModel,
      pooling: settings.pooling,
      leftOutCovariates: settings.leftOutCovariates,
      priors: settings.priors,
    },
    condition: conditionReport(fitted, settings),
    pooling: poolingReport(network, fitted),
    years: yearsReport(fitted.years),
    ...(fitted.agesAlone ? { agesAlone: agesAlone(fitted.agesAlone) } : {}),
    summary: summary(network, fitted, fit),
    fit,
    shape: family === 'weibull' ? intervalOf(draws.scale.map((sigma) => 1 / sigma)) : null,
    classes: describeClasses(network, fitted),
    effects: describeEffects(fitted),
    climateZones: describeZones(network, fitted),
    dataUse,
    sampling: {
      effectiveSampleSize: draws.effectiveSampleSize,
      paretoK: Number.isFinite(draws.paretoK) ? draws.paretoK : null,
      note: SAMPLING_NOTES[draws.method ?? 'importance'],
    },
    damageGrowth: model.condition ? null : model.damageRule,
  };
}

const agesAlone = ({ logLikelihood, names, droppedNames, family, observations, failures }: AftFit): AgesAlone => ({
  logLikelihood,
  parameters: names.length - droppedNames.length + (family === 'exponential' ? 0 : 1),
  observations: Math.round(observations),
  failures: Math.round(failures),
});

const SAMPLING_NOTES = {
  importance: 'Draws by importance sampling around the best fit.',
  laplace: 'Many failures: draws from the normal approximation at the best fit, checked against the posterior.',
  prior: 'Nothing has been observed yet: draws from the prior alone.',
} as const;

function summary(network: Network, fitted: FittedModel, fit: FitReport): string {
  const rows = network.rows.length;
  const delayed = network.rows.filter((row) => row.observation.entryDays > 0).length;
  const sentences = [
    `${rows.toLocaleString('en')} of ${network.seals.length.toLocaleString('en')} seals tell something about life; ${fit.failures.toLocaleString('en')} of them failed within known bounds.`,
    delayed > 0 ? `${delayed.toLocaleString('en')} came under observation late, which the fit allows for.` : '',
    wearOut(fitted),
    unusedSentence(fitted),
    network.climate.note,
  ];
  return sentences.filter(Boolean).join(' ');
}

/** What the Weibull shape says in words. */
function wearOut({ family, draws }: FittedModel): string {
  if (family !== 'weibull') return '';
  const { median, lower, upper } = intervalOf(draws.scale.map((sigma) => 1 / sigma));
  const bounds = `shape ${median.toFixed(1)}, ${lower.toFixed(1)} to ${upper.toFixed(1)}`;
  if (lower > 1) return `Seals wear out: the older they are, the sooner the next one fails (${bounds}).`;
  if (upper < 1) return `Early failures stand out: seals that survive their first years last (${bounds}).`;
  return `The records do not tell whether seals wear out (${bounds}).`;
}

function unusedSentence(fitted: FittedModel): string {
  const { dropped } = fitted.design;
  const chosen = new Set(dropped.filter(({ reason }) => reason.endsWith(BY_CHOICE)).map(({ name }) => name));
  const labels = (byChoice: boolean) =>
    unusedCovariates(fitted)
      .filter(({ name }) => chosen.has(name) === byChoice)
      .map(({ label }) => label.toLowerCase())
      .join(', ');
  const [unknown, left] = [labels(false), labels(true)];
  return [
    unknown && `Not used, since it is unknown or the same everywhere: ${unknown}.`,
    left && `Left out by choice: ${left}.`,
  ]
    .filter(Boolean)
    .join(' ');
}

/** No seal has told anything yet: the coefficients are the means of the prior. */
function priorOnly({ family, design, prior, fitSeconds }: FittedModel): FitReport {
  return {
    family,
    coefficients: Object.fromEntries(design.names.map((name, j) => [name, prior.means[j]])),
    scale: family === 'exponential' ? 1 : Math.exp(prior.logScaleMean),
    logLikelihood: 0,
    standardErrors: Object.fromEntries(design.names.map((name, j) => [name, prior.sds[j]])),
    covariance: null,
    observations: 0,
    failures: 0,
    iterations: 0,
    converged: true,
    status: 'no-events',
    warnings: ['No inspection has told anything about life yet: forecasts rest on published lives alone.'],
    fitSeconds,
  };
}
