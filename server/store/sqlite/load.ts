import type { LoadTransaction, RecordBatch, WriteCounts } from '../store.ts';
import type { Connection } from './connection.ts';
import { refreshDerived } from './derived.ts';
import { bumpDataVersion } from './meta.ts';
import { nothingTouched, writeBatch } from './record-writer.ts';

/**
 * A load over a connection of its own, on which a write transaction has begun: readers of the store see the records as
 * they were until the commit, and a process that dies leaves nothing.
 */
export class SqliteLoad implements LoadTransaction {
  readonly #connection: Connection;
  readonly #today: string;
  readonly #ended: () => void;
  readonly #touched = nothingTouched();

  constructor(connection: Connection, today: string, ended: () => void) {
    this.#connection = connection;
    this.#today = today;
    this.#ended = ended;
  }

  write(batch: RecordBatch): WriteCounts {
    return writeBatch(this.#connection, batch, this.#touched);
  }

  /** A load that changed nothing leaves the data version as it is, so caches stay good. */
  commit(): void {
    if (this.#touched.any) {
      refreshDerived(this.#connection, this.#touched, this.#today);
      bumpDataVersion(this.#connection);
    }
    this.#connection.db.exec('COMMIT');
    this.#connection.db.pragma('optimize');
    this.#end();
  }

  rollback(): void {
    if (!this.#connection.db.open) return;
    if (this.#connection.db.inTransaction) this.#connection.db.exec('ROLLBACK');
    this.#end();
  }

  #end(): void {
    this.#connection.close();
    this.#ended();
  }
}
