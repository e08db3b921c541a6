import { DEFAULT_DAMAGE_RULE, estimateDamageRule } from '../../analytics/forecast/damage-rule.ts';
import { TaskCancelled, type TaskContext } from '../jobs/task.ts';
import { HORIZON_YEARS } from '../schemas/forecast.ts';
import type { Settings } from '../schemas/settings.ts';
import { networkBudget, outlookOf, type PlannedInputs } from './budget.ts';
import { covariateSpread } from './covariate-spread.ts';
import { type FittedModel, fitNetwork } from './fit-network.ts';
import { sealedSegments } from './knowledge.ts';
import { lifeKnowledge } from './model-forecasts.ts';
import { modelReport } from './model-report.ts';
import { type Network, readNetwork } from './network.ts';
import { planningYear } from './planning-year.ts';
import { PriceList } from './price-list.ts';
import { forecastStates } from './segment-states.ts';
import { decodeModel, encodeModel, type StoredModel } from './stored-model.ts';

/** Steps of a run with the share of its time that is over when each begins; measured on 100,000 segments. */
const STEPS = {
  read: [0, 'Reading the records'],
  fit: [0.1, 'Fitting the service-life model'],
  forecast: [0.5, 'Forecasting each segment and what falls due'],
  write: [0.85, 'Writing the forecast'],
} as const;

/**
 * The line from records to budget: reads the network, fits the model, forecasts every segment, works out what falls due
 * and writes all of it in one transaction. A cancelled or failed run changes nothing.
 * @returns the model version
 */
export async function runForecast(context: TaskContext): Promise<number> {
  const { store } = context;
  const settings = await store.readSettings();
  const network = await readNetwork(store, settings, context.today, (share) => tell(context, 'read', share));
  tell(context, 'fit');
  const fitted = fitNetwork(network, settings);
  const model = storedModel(fitted, network);
  const parts = await forecastParts(context, network, model, settings);
  const report = modelReport({ network, fitted, model, settings, dataVersion: await store.dataVersion() });
  tell(context, 'write');
  return store.writeForecast({ report, draws: encodeModel(model), ...parts });
}

/** Forecast and budget again with the stored model: for changed prices. The model and its version stay. */
export async function repriceForecast(context: TaskContext): Promise<number> {
  const bytes = await context.store.readModelDraws();
  if (!bytes) return runForecast(context);
  return forecastAgain(context, decodeModel(bytes), await context.store.readSettings());
}

/**
 * Forecast and budget with a stored model on the records of now.
 * @param version of that model; left out: the one in use
 * @param settings by which records are read; written with the forecast when `version` is given
 */
export async function forecastAgain(
  context: TaskContext,
  model: StoredModel,
  settings: Settings,
  version?: number,
): Promise<number> {
  const network = await readNetwork(context.store, settings, context.today, (share) => tell(context, 'read', share));
  const parts = await forecastParts(context, network, model, settings);
  tell(context, 'write');
  const adopted = version === undefined ? {} : { version, settings };
  return context.store.updateForecast({ ...adopted, forecastFrom: network.planningDate, ...parts });
}

/** What is kept of a fit. */
function storedModel(fitted: FittedModel, network: Network): StoredModel {
  const { family, design, priors, draws, levels, years, condition } = fitted;
  const damageRule = network.damagePairs.length > 0 ? estimateDamageRule(network.damagePairs) : DEFAULT_DAMAGE_RULE;
  return {
    family,
    design,
    draws,
    damageRule,
    priors,
    ...(levels && levels.draws.length > 0 ? { levels: levels.draws } : {}),
    yearSd: years.sd,
    covariateSpread: covariateSpread(network, design),
    condition: condition?.growth
      ? { growth: condition.growth, reading: condition.reading, inspectors: condition.inspectors }
      : null,
  };
}

async function forecastParts(context: TaskContext, network: Network, model: StoredModel, settings: Settings) {
  const prices = new PriceList(await context.store.readUnitCosts());
  const segments = sealedSegments(network.segments);
  const { year, yearLeft } = planningYear(network.planningDate);
  const { failureThresholdShare } = settings;
  const options = { yearLeft, horizonYears: HORIZON_YEARS, failureThresholdShare };
  const known = lifeKnowledge(segments, model);
  const inputs: PlannedInputs = { network, segments, known, model, settings, prices, options, planningYear: year };
  tell(context, 'forecast');
  const { due, forecasts, nowChances } = outlookOf(inputs, (share) => tell(context, 'forecast', share));
  return { budget: networkBudget(inputs, due), states: forecastStates({ ...inputs, forecasts }, nowChances) };
}

function tell(context: TaskContext, step: keyof typeof STEPS, share = 0): void {
  if (context.cancelled()) throw new TaskCancelled();
  const names = Object.keys(STEPS) as (keyof typeof STEPS)[];
  const [from, words] = STEPS[step];
  const next = names[names.indexOf(step) + 1];
  const to = next ? STEPS[next][0] : 1;
  context.progress(from + (to - from) * share, words);
}
