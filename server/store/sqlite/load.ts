import type { LoadTransaction, RecordBatch, WriteCounts } from '../store.ts';
import type { Connection } from './connection.ts';
import { type Changed, refreshDerived } from './derived.ts';
import { bumpDataVersion } from './meta.ts';
import { writeBatch } from './record-writer.ts';

/**
 * A load over a connection of its own, on which a write transaction has begun: readers of the store see the records as
 * they were until the commit, and a process that dies leaves nothing.
 */
export class SqliteLoad implements LoadTransaction {
  readonly #connection: Connection;
  readonly #today: string;
  readonly #ended: () => void;
  readonly #changed: Changed = { lines: false, history: false };
  #anyChange = false;

  constructor(connection: Connection, today: string, ended: () => void) {
    this.#connection = connection;
    this.#today = today;
    this.#ended = ended;
  }

  write(batch: RecordBatch): WriteCounts {
    const counts = writeBatch(this.#connection, batch);
    if (counts.inserted + counts.updated > 0) {
      this.#anyChange = true;
      if (batch.kind === 'segments') this.#changed.lines = true;
      if (batch.kind === 'seals' || batch.kind === 'inspections') this.#changed.history = true;
    }
    return counts;
  }

  /** A load that changed nothing leaves the data version as it is, so caches stay good. */
  commit(): void {
    if (this.#anyChange) {
      refreshDerived(this.#connection, this.#changed, this.#today);
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
