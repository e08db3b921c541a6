import { DEFAULT_DAMAGE_RULE, estimateDamageRule } from '../../analytics/forecast/damage-rule.ts';
import { forecastSegments } from '../../analytics/forecast/forecast-segments.ts';
import { TaskCancelled, type TaskContext } from '../jobs/task.ts';
import { HORIZON_YEARS } from '../schemas/forecast.ts';
import { networkBudget } from './budget.ts';
import { fitNetwork } from './fit-network.ts';
import { knowledgeOf, sealedSegments } from './knowledge.ts';
import { modelReport } from './model-report.ts';
import { readNetwork } from './network.ts';
import { planningYear } from './planning-year.ts';
import { PriceList } from './price-list.ts';
import { forecastStates } from './segment-states.ts';
import { decodeModel, encodeModel, type StoredModel } from './stored-model.ts';

/** Steps of a run with the share of its time that is over when each begins; measured on 100,000 segments. */
const STEPS = {
  read: [0, 'Reading the records'],
  fit: [0.35, 'Fitting the service-life model'],
  forecast: [0.6, 'Forecasting each segment'],
  budget: [0.8, 'Working out what falls due'],
  write: [0.92, 'Writing the forecast'],
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
  const fitted = fitNetwork(network, settings.family);
  const damageRule = network.damagePairs.length > 0 ? estimateDamageRule(network.damagePairs) : DEFAULT_DAMAGE_RULE;
  const model: StoredModel = { ...fitted, damageRule };
  const parts = await forecastParts(context, network, model);
  const report = modelReport({ network, fitted, damageRule, settings, dataVersion: await store.dataVersion() });
  tell(context, 'write');
  return store.writeForecast({ report, draws: encodeModel(model), ...parts });
}

/** Forecast and budget again with the stored model: for changed prices. The model and its version stay. */
export async function repriceForecast(context: TaskContext): Promise<number> {
  const { store } = context;
  const bytes = await store.readModelDraws();
  if (!bytes) return runForecast(context);
  const settings = await store.readSettings();
  const network = await readNetwork(store, settings, context.today, (share) => tell(context, 'read', share));
  const parts = await forecastParts(context, network, decodeModel(bytes));
  tell(context, 'write');
  return store.updateForecast(parts);
}

async function forecastParts(
  context: TaskContext,
  network: Awaited<ReturnType<typeof readNetwork>>,
  model: StoredModel,
) {
  const settings = await context.store.readSettings();
  const prices = new PriceList(await context.store.readUnitCosts());
  const segments = sealedSegments(network.segments);
  const knowledge = knowledgeOf(segments, model.design);
  const { year, yearLeft } = planningYear(network.planningDate);
  const options = {
    yearLeft,
    horizonYears: HORIZON_YEARS,
    failureThresholdShare: settings.failureThresholdShare,
    damageRule: model.damageRule,
  };
  tell(context, 'forecast');
  const forecasts = forecastSegments(knowledge, model.draws, model.family, options, (share) =>
    tell(context, 'forecast', share),
  );
  const inputs = { network, segments, knowledge, forecasts, model, settings, prices, options, planningYear: year };
  tell(context, 'budget');
  const budget = networkBudget(inputs, (share) => tell(context, 'budget', share));
  return { budget, states: forecastStates(inputs) };
}

function tell(context: TaskContext, step: keyof typeof STEPS, share = 0): void {
  if (context.cancelled()) throw new TaskCancelled();
  const names = Object.keys(STEPS) as (keyof typeof STEPS)[];
  const [from, words] = STEPS[step];
  const next = names[names.indexOf(step) + 1];
  const to = next ? STEPS[next][0] : 1;
  context.progress(from + (to - from) * share, words);
}
