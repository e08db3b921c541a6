import type { Settings } from '../../schemas/settings.ts';
import type { UnitCost } from '../../schemas/unit-cost.ts';
import type { Connection } from './connection.ts';
import { bumpDataVersion } from './meta.ts';
import { nothingTouched, writeBatch } from './record-writer.ts';

/** What holds until the agency says otherwise. Sources of the figures stand in the settings schema. */
export const DEFAULT_SETTINGS: Settings = {
  agencyName: 'My agency',
  agencyInvented: false,
  currency: 'USD',
  failureThresholdShare: 0.1,
  inspectionMethod: 'joint-length',
  family: 'weibull',
  conditionModel: 'auto',
  pooling: 'auto',
  leftOutCovariates: [],
  priors: null,
  stationLimitKm: 150,
  escalationPerYear: 0.03,
  discountRatePerYear: 0.04,
  openJointCostPerMYear: 6,
  planningDate: null,
  baseMapUrl: null,
};

export function readSettings(connection: Connection): Settings {
  const stored = connection.get<{ json: string }>('SELECT json FROM setting');
  return { ...DEFAULT_SETTINGS, ...(stored && (JSON.parse(stored.json) as Partial<Settings>)) };
}

export function writeSettings(connection: Connection, settings: Settings): void {
  connection.run('INSERT OR REPLACE INTO setting VALUES (1, ?)', JSON.stringify(settings));
}

export const readUnitCosts = (connection: Connection): UnitCost[] =>
  connection.all<UnitCost>('SELECT * FROM unitCost ORDER BY sealantClass, jointType');

/** Equal costs leave the data version as it is. */
export function replaceUnitCosts(connection: Connection, costs: readonly UnitCost[]): void {
  const kept = JSON.stringify(costs.map((cost) => [cost.sealantClass, cost.jointType]));
  const removed = connection.run(
    `DELETE FROM unitCost WHERE (sealantClass, jointType)
     NOT IN (SELECT value ->> 0, value ->> 1 FROM json_each(?))`,
    kept,
  ).changes;
  const touched = nothingTouched();
  writeBatch(connection, { kind: 'unit-costs', rows: costs }, touched);
  if (removed > 0 || touched.any) bumpDataVersion(connection);
}
