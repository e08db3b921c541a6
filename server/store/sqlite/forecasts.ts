import type { Forecast } from '../../schemas/forecast.ts';
import type { SegmentState, Store } from '../store.ts';
import type { Connection } from './connection.ts';
import { readFigures } from './figures.ts';
import { newestModelVersion, readMeta, readModelVersion, writeMeta } from './meta.ts';
import { floatsOf } from './number-blob.ts';
import { refreshRunSums } from './runs/rebuild-runs.ts';
import { readSettings, writeSettings } from './settings.ts';
import { StateWriter } from './state-writer.ts';

type StoredState = Omit<SegmentState, 'forecast'> &
  Omit<Forecast, 'failedByYearEnd' | 'knownFailed' | 'planningYear'> & {
    planningYear: number | null;
    knownFailed: number;
    failedByYearEnd: Buffer | null;
  };

/** Probabilities are kept as 32-bit numbers; six decimals are all that they carry for sure. */
const rounded = (share: number): number => Math.round(share * 1e6) / 1e6;

export function findState(connection: Connection, segmentId: string): SegmentState | null {
  const found = connection.get<StoredState & { modelVersion: number | null; segmentRow: number }>(
    'SELECT s.id AS segmentId, t.* FROM segment s JOIN state t ON t.segmentRow = s.row WHERE s.id = ?',
    segmentId,
  );
  if (!found) return null;
  const { sealId, sealantClass, installedFrom, installedTo, ageYears, lastInspectedOn, damagedShare } = found;
  const state = {
    segmentId,
    sealId,
    sealantClass,
    installedFrom,
    installedTo,
    ageYears,
    lastInspectedOn,
    damagedShare,
  };
  if (found.planningYear === null || found.failedByYearEnd === null) return { ...state, forecast: null };
  const { planningYear, failedNowProbability, medianFailureYear, lowerFailureYear, upperFailureYear } = found;
  const { dueYear, dueReason, dataShare } = found;
  return {
    ...state,
    forecast: {
      planningYear,
      failedByYearEnd: Array.from(floatsOf(found.failedByYearEnd), rounded),
      failedNowProbability,
      knownFailed: found.knownFailed === 1,
      medianFailureYear,
      lowerFailureYear,
      upperFailureYear,
      dueYear,
      dueReason,
      dataShare,
    },
  };
}

/** The store gives the version number, so it also writes it into the field that reports and budgets have for it. */
const stamped = (value: unknown, field: 'version' | 'modelVersion', version: number): string =>
  JSON.stringify(
    typeof value === 'object' && value !== null && field in value ? { ...value, [field]: version } : value,
  );

/** Replaces the forecast over a connection on which a write transaction has begun; the caller ends it. */
export async function writeForecast(
  connection: Connection,
  { report, draws, budget, states }: Parameters<Store['writeForecast']>[0],
): Promise<number> {
  const version = newestModelVersion(connection) + 1;
  connection.run('INSERT INTO model VALUES (?, ?, ?)', version, stamped(report, 'version', version), draws);
  await replaceForecast(connection, version, { budget, states });
  return version;
}

/** The same for a forecast made again with a stored model. @throws Error when there is no such model */
export async function updateForecast(
  connection: Connection,
  result: Parameters<Store['updateForecast']>[0],
): Promise<number> {
  const version = result.version ?? readModelVersion(connection);
  if (modelAt(connection, 'report', version) === null)
    throw new Error('There is no model to forecast with. Fit one first.');
  if (result.settings) writeSettings(connection, result.settings);
  if (result.forecastFrom)
    connection.run(
      "UPDATE model SET report = json_set(report, '$.forecastFrom', ?) WHERE version = ?",
      result.forecastFrom,
      version,
    );
  await replaceForecast(connection, version, result);
  return version;
}

async function replaceForecast(
  connection: Connection,
  version: number,
  { budget, states }: Pick<Parameters<Store['updateForecast']>[0], 'budget' | 'states'>,
): Promise<void> {
  connection.run('INSERT OR REPLACE INTO budget VALUES (1, ?)', stamped(budget, 'modelVersion', version));
  const indexes = dropIndexes(connection, 'state');
  const writer = new StateWriter(connection, version);
  for await (const batch of states) writer.write(batch);
  const figures = writer.finish() ?? readFigures(connection, null);
  for (const sql of indexes) connection.run(sql);
  writeMeta(connection, 'currentModel', version);
  writeMeta(connection, 'forecastVersion', readMeta(connection, 'forecastVersion') + 1);
  const { failureThresholdShare } = readSettings(connection);
  refreshRunSums(connection, { thresholdShare: failureThresholdShare, facilities: null }, figures);
}

/** Building an index over a whole table costs a third of keeping it up row by row. @returns SQL that makes them again */
function dropIndexes(connection: Connection, table: string): string[] {
  const sql = "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND tbl_name = ? AND sql IS NOT NULL";
  const indexes = connection.all<{ name: string; sql: string }>(sql, table);
  for (const { name } of indexes) connection.run(`DROP INDEX ${name}`);
  return indexes.map((index) => index.sql);
}

const modelAt = <R>(connection: Connection, column: 'report' | 'draws', version: number | undefined): R | null =>
  connection.get<{ found: R }>(
    `SELECT ${column} AS found FROM model WHERE version = ?`,
    version ?? readModelVersion(connection),
  )?.found ?? null;

export function readModelReport(connection: Connection, version?: number): unknown | null {
  const report = modelAt<string>(connection, 'report', version);
  return report === null ? null : JSON.parse(report);
}

export const listModelReports = (connection: Connection): unknown[] =>
  connection
    .all<{ report: string }>('SELECT report FROM model ORDER BY version DESC')
    .map(({ report }) => JSON.parse(report));

export const readModelDraws = (connection: Connection, version?: number): Uint8Array | null =>
  modelAt<Buffer>(connection, 'draws', version);

export function readBudget(connection: Connection): unknown | null {
  const stored = connection.get<{ json: string }>('SELECT json FROM budget');
  return stored ? JSON.parse(stored.json) : null;
}

export function writeBudget(connection: Connection, budget: unknown): void {
  connection.run('INSERT OR REPLACE INTO budget VALUES (1, ?)', JSON.stringify(budget));
}
