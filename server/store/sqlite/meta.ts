import type { Connection } from './connection.ts';

/**
 * `forecastVersion` grows with each replaced forecast, also where the model stays. `currentModel`: its version.
 * `programNumber`: of the program written last.
 */
type MetaKey = 'dataVersion' | 'derivedVersion' | 'forecastVersion' | 'currentModel' | 'programNumber';

export const readMeta = (connection: Connection, key: MetaKey): number =>
  connection.get<{ value: number }>('SELECT value FROM meta WHERE key = ?', key)?.value ?? 0;

export function writeMeta(connection: Connection, key: MetaKey, value: number): void {
  connection.run('INSERT INTO meta VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value', key, value);
}

export const bumpDataVersion = (connection: Connection): void =>
  writeMeta(connection, 'dataVersion', readMeta(connection, 'dataVersion') + 1);

/** Version of the model in use: the newest unless an older one was adopted; 0 before the first forecast. */
export const readModelVersion = (connection: Connection): number =>
  readMeta(connection, 'currentModel') || newestModelVersion(connection);

export const newestModelVersion = (connection: Connection): number =>
  connection.get<{ version: number | null }>('SELECT max(version) AS version FROM model')?.version ?? 0;
