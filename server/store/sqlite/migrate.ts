import { StoreError } from '../errors.ts';
import type { Connection } from './connection.ts';
import { records } from './migrations/0001-records.ts';
import { forecast } from './migrations/0002-forecast.ts';
import { runs } from './migrations/0003-runs.ts';
import { jobs } from './migrations/0004-jobs.ts';
import { documents } from './migrations/0005-documents.ts';
import { failedNowDraws } from './migrations/0006-failed-now-draws.ts';
import { scenarios } from './migrations/0007-scenarios.ts';
import { closures } from './migrations/0008-closures.ts';
import { directions } from './migrations/0009-directions.ts';

/** In order; `user_version` of a file is how many of them it has. Never edit one that has been released. */
export const MIGRATIONS: readonly string[] = [
  records,
  forecast,
  runs,
  jobs,
  documents,
  failedNowDraws,
  scenarios,
  closures,
  directions,
];

/** Marks the file as ours ("Kerf" in ASCII), so that another program's database is never written into. */
const APPLICATION_ID = 0x4b657266;

const number = (connection: Connection, pragma: string): number =>
  Number(connection.db.pragma(pragma, { simple: true }));

/**
 * Refuses a file that is not ours or is of a later version, before anything is written into it.
 * @throws StoreError `foreign` or `newer`
 */
export function checkOwner(connection: Connection): void {
  const owner = number(connection, 'application_id');
  const tables = connection.db.prepare('SELECT count(*) FROM sqlite_schema').pluck().get();
  if (owner !== APPLICATION_ID && (owner !== 0 || tables !== 0)) {
    throw new StoreError(
      'foreign',
      `${connection.path} is a database of another program. Choose another file or an empty folder.`,
    );
  }
  const found = number(connection, 'user_version');
  if (found > MIGRATIONS.length) {
    throw new StoreError(
      'newer',
      `${connection.path} was written by a newer version (layout ${found}; this program knows ${MIGRATIONS.length}). ` +
        'Update the program, or open a copy made before.',
    );
  }
}

/** Brings the file to the newest layout; each step is one transaction. */
export function migrate(connection: Connection): void {
  for (let version = number(connection, 'user_version'); version < MIGRATIONS.length; version++) {
    connection.db
      .transaction(() => {
        // Another process may have done this step while we waited for the lock.
        if (number(connection, 'user_version') > version) return;
        connection.db.exec(MIGRATIONS[version]);
        connection.db.pragma(`application_id = ${APPLICATION_ID}`);
        connection.db.pragma(`user_version = ${version + 1}`);
      })
      .immediate();
  }
}
