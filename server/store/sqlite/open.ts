import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { StoreError } from '../errors.ts';
import type { Store } from '../store.ts';
import { Connection } from './connection.ts';
import { refreshOutdated } from './derived.ts';
import { checkOwner, migrate } from './migrate.ts';
import { SqliteStore } from './sqlite-store.ts';

export interface SqliteOptions {
  /** ISO day from which ages count when no planning date is set. Default: the day in UTC. */ today?: () => string;
  /** Skip the quick check of the file at opening, for a worker beside a store that made it. Default: check. */
  check?: boolean;
  /** How long a write waits for another one. Default: two minutes, more than a large load takes to write. */
  busyLimitMs?: number;
}

/** Not a database, or one with broken pages. */
const DAMAGE_CODES = ['SQLITE_NOTADB', 'SQLITE_CORRUPT', 'SQLITE_CORRUPT_VTAB'];

const isDamage = (error: unknown): boolean =>
  error instanceof Error && 'code' in error && DAMAGE_CODES.includes(String(error.code));

const damaged = (path: string, found: string, cause?: unknown): StoreError =>
  new StoreError('damaged', `${path} is damaged or not a database (${found}). Put back a copy, or move it away.`, {
    cause,
  });

function quickCheck(connection: Connection): void {
  const found = connection.db.pragma('quick_check(1)', { simple: true });
  if (found !== 'ok') throw damaged(connection.path, String(found));
}

function prepareFile(path: string, { check, today }: { check: boolean; today: string }): Connection {
  const connection = new Connection(path);
  try {
    if (check) quickCheck(connection);
    checkOwner(connection);
    connection.configure({ cacheMb: 64 });
    migrate(connection);
    refreshOutdated(connection, today);
    connection.waitBriefly();
    return connection;
  } catch (error) {
    connection.close();
    throw isDamage(error) ? damaged(path, (error as Error).message, error) : error;
  }
}

const utcToday = (): string => new Date().toISOString().slice(0, 10);

/**
 * Opens the database file, makes it when it is missing, and brings it to the newest layout.
 * `:memory:` stands for a file in the system's folder for temporary files that goes when the store is closed: a load
 * writes over a connection of its own, which a database in memory cannot have.
 * @throws StoreError `damaged`, `foreign` or `newer`
 */
export function openSqliteStore(path: string, options: SqliteOptions = {}): Store {
  const today = options.today ?? utcToday;
  const folder = path === ':memory:' ? mkdtempSync(join(tmpdir(), 'kerfcast-')) : null;
  const file = folder ? join(folder, 'store.sqlite') : path;
  mkdirSync(dirname(file), { recursive: true });
  const connection = prepareFile(file, { check: options.check ?? true, today: today() });
  return new SqliteStore(connection, {
    today,
    busyLimitMs: options.busyLimitMs ?? 120_000,
    closed: () => {
      if (folder) rmSync(folder, { recursive: true, force: true });
    },
  });
}
