import { createHash } from 'node:crypto';
import type { ModelReport } from '../schemas/model.ts';
import type { Settings } from '../schemas/settings.ts';
import type { Store } from '../store/store.ts';

/** What programs rest on besides their scenario. */
export interface PlanningBasis {
  /** Day that the forecast in use starts from; before the first forecast, the day that one would start from. */
  readonly planningDate: string;
  /** First year of the horizon. */ readonly firstYear: number;
  /** null: no forecast yet. */ readonly modelVersion: number | null;
  readonly dataVersion: number;
  readonly settings: Settings;
  /** Changes with records, prices, model, forecast and the settings that programs use. */ readonly madeFrom: string;
}

/** @param today ISO day, for a network without a forecast or a planning date of its own */
export async function readPlanningBasis(store: Store, today: string): Promise<PlanningBasis> {
  const settings = await store.readSettings();
  const report = (await store.readModelReport()) as ModelReport | null;
  const planningDate = report?.forecastFrom ?? report?.planningDate ?? settings.planningDate ?? today;
  return {
    planningDate,
    firstYear: Number(planningDate.slice(0, 4)),
    modelVersion: await store.modelVersion(),
    dataVersion: await store.dataVersion(),
    settings,
    madeFrom: `${await store.viewVersion()} ${digestOf(settings)}`,
  };
}

/** The settings by which records are read and money is reckoned; the threshold is in the view version. */
function digestOf(settings: Settings): string {
  const { currency, inspectionMethod, stationLimitKm } = settings;
  const { escalationPerYear, discountRatePerYear, openJointCostPerMYear } = settings;
  const used = [
    currency,
    inspectionMethod,
    stationLimitKm,
    escalationPerYear,
    discountRatePerYear,
    openJointCostPerMYear,
  ];
  return createHash('sha1').update(JSON.stringify(used)).digest('base64url');
}
