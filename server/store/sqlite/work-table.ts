import { WORK_SORT_FIELDS } from '../../schemas/program.ts';
import type { StoredWork } from '../scenario-store.ts';
import type { Connection } from './connection.ts';

/**
 * The works of one program. A table for each program, filled first and indexed then, is written three times as fast as rows
 * beside those of other programs, and goes at once when the program is replaced: 200,000 works in 3.5 s instead of 10 s,
 * deleted in 25 ms instead of 6 s.
 */
export const workTable = (programNumber: number): string => `work${programNumber}`;

const COLUMNS: Readonly<Record<keyof StoredWork, string>> = {
  segmentId: 'TEXT NOT NULL',
  facilityId: 'TEXT NOT NULL',
  facilityName: 'TEXT NOT NULL',
  district: 'TEXT NOT NULL',
  jointType: 'TEXT NOT NULL',
  year: 'INTEGER NOT NULL',
  sealantClass: 'TEXT NOT NULL',
  sealantClassInPlace: 'TEXT',
  lengthM: 'REAL NOT NULL',
  cost: 'REAL NOT NULL',
  constantCost: 'REAL NOT NULL',
  failedChance: 'REAL NOT NULL',
  savedByNotWaiting: 'REAL',
  neighbours: 'INTEGER NOT NULL',
  why: 'TEXT NOT NULL',
  because: 'TEXT NOT NULL',
  cheapestYear: 'INTEGER',
  savedAgainstNever: 'REAL NOT NULL',
  mobilisationCost: 'REAL NOT NULL',
};
const NAMES = Object.keys(COLUMNS) as (keyof StoredWork)[];
export const WORK_COLUMNS = NAMES.join(', ');

export function fillWorkTable(
  connection: Connection,
  programNumber: number,
  batches: Iterable<readonly StoredWork[]>,
): void {
  const table = workTable(programNumber);
  const columns = NAMES.map((name) => `${name} ${COLUMNS[name]}`).join(', ');
  connection.db.exec(`CREATE TABLE ${table} (row INTEGER PRIMARY KEY, ${columns}) STRICT`);
  const write = connection.db.prepare(
    `INSERT INTO ${table} (${WORK_COLUMNS}) VALUES (${NAMES.map(() => '?').join(', ')})`,
  );
  for (const batch of batches) for (const work of batch) write.run(...NAMES.map((name) => work[name]));
  for (const field of WORK_SORT_FIELDS) connection.db.exec(`CREATE INDEX ${table}By${field} ON ${table} (${field})`);
}

export const dropWorkTable = (connection: Connection, programNumber: number): void => {
  connection.db.exec(`DROP TABLE IF EXISTS ${workTable(programNumber)}`);
};
