import Database from 'better-sqlite3';

export type SqlValue = string | number | bigint | Uint8Array | null;
export type Prepared<R = unknown> = Database.Statement<SqlValue[], R>;

/** Filters make many texts of SQL; past this number the statement used longest ago is forgotten. */
const MAX_STATEMENTS = 300;
/** While opening, another process may be recovering the file after a crash. */
const OPENING_WAIT_MS = 5000;
const BUSY_WAIT_MS = 20;

/** One connection to the database file with a cache of its prepared statements. */
export class Connection {
  readonly db: Database.Database;
  readonly path: string;
  readonly #statements = new Map<string, Prepared>();

  constructor(path: string) {
    this.path = path;
    this.db = new Database(path, { timeout: OPENING_WAIT_MS });
  }

  /**
   * WAL lets readers go on during a load. FULL syncs each commit, so an acknowledged write survives a power cut; in
   * WAL mode that is one sync a transaction, so bulk loads do not need less.
   */
  configure({ cacheMb }: { cacheMb: number }): void {
    this.db.pragma('journal_mode = WAL');
    this.db.pragma('synchronous = FULL');
    this.db.pragma('foreign_keys = ON');
    this.db.pragma(`cache_size = -${cacheMb * 1024}`);
    this.db.pragma('temp_store = MEMORY');
    this.db.pragma('journal_size_limit = 67108864');
  }

  /** From now on a write that meets another one fails at once; the write queue tries it again off the event loop. */
  waitBriefly(): void {
    this.db.pragma(`busy_timeout = ${BUSY_WAIT_MS}`);
  }

  prepare<R>(sql: string): Prepared<R> {
    const known = this.#statements.get(sql);
    if (known) {
      this.#statements.delete(sql);
      this.#statements.set(sql, known);
      return known as Prepared<R>;
    }
    const made = this.db.prepare<SqlValue[], R>(sql);
    this.#statements.set(sql, made as Prepared);
    if (this.#statements.size > MAX_STATEMENTS) {
      const [oldest] = this.#statements.keys();
      this.#statements.delete(oldest);
    }
    return made;
  }

  all<R>(sql: string, ...params: SqlValue[]): R[] {
    return this.prepare<R>(sql).all(...params);
  }

  /** Lines as arrays in the order of the columns: for the many. */
  lines<L extends unknown[]>(sql: string, ...params: SqlValue[]): L[] {
    // The mark keeps the statement apart from one of equal text that answers objects.
    return this.prepare<L>(`${sql} -- lines`)
      .raw()
      .all(...params);
  }

  get<R>(sql: string, ...params: SqlValue[]): R | undefined {
    return this.prepare<R>(sql).get(...params);
  }

  run(sql: string, ...params: SqlValue[]): Database.RunResult {
    return this.prepare(sql).run(...params);
  }

  /** Runs several reads on one snapshot. */
  snapshot<T>(read: () => T): T {
    return this.db.inTransaction ? read() : this.db.transaction(read).deferred();
  }

  /** Runs a write as one transaction that takes the write lock first. */
  transact<T>(write: () => T): T {
    return this.db.inTransaction ? write() : this.db.transaction(write).immediate();
  }

  close(): void {
    this.#statements.clear();
    this.db.close();
  }
}
