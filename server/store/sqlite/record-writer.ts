import { StoreError } from '../errors.ts';
import type { RecordBatch, WriteCounts } from '../store.ts';
import type { Connection, SqlValue } from './connection.ts';
import { boxOfBlob } from './geometry-blob.ts';
import type { Column, RecordTable } from './record-tables.ts';
import {
  climateTable,
  facilityTable,
  inspectionTable,
  sealTable,
  segmentTable,
  stationTable,
  unitCostTable,
} from './record-tables.ts';

const names = <R>(columns: Column<R>[]): string => columns.map((c) => c.name).join(', ');
const holders = <R>(columns: Column<R>[]): string => columns.map((c) => c.sql).join(', ');

/** A key already stored leaves the row as it is; its row number is thereby stable. */
function insertSql<R>({ table, key, values, source }: RecordTable<R>): string {
  const all = [...key, ...values, ...source];
  return `INSERT INTO ${table} (${names(all)}) VALUES (${holders(all)}) ON CONFLICT (${names(key)}) DO NOTHING`;
}

/** Touches the row only when a value other than its source differs. Binds: values, source, key, values. */
function updateSql<R>({ table, key, values, source }: RecordTable<R>): string {
  const set = [...values, ...source].map((c) => `${c.name} = ${c.sql}`).join(', ');
  const found = key.map((c) => `${c.name} = ${c.sql}`).join(' AND ');
  return `UPDATE ${table} SET ${set} WHERE ${found} AND (${names(values)}) IS NOT (${holders(values)})`;
}

type AfterWrite<R> = (row: R, insertedRow: number | bigint | null) => void;

function describeRefusal<R>(table: RecordTable<R>, row: R, cause: unknown): unknown {
  const code = cause instanceof Error && 'code' in cause ? String(cause.code) : '';
  if (!['SQLITE_CONSTRAINT_NOTNULL', 'SQLITE_CONSTRAINT_FOREIGNKEY'].includes(code)) return cause;
  return new StoreError(
    'reference',
    `The ${table.name(row)} refers to a record that is not stored, or lacks a value. Load the missing record first.`,
    { cause },
  );
}

function writeRows<R>(
  connection: Connection,
  table: RecordTable<R>,
  rows: readonly R[],
  after?: AfterWrite<R>,
): WriteCounts {
  const insert = connection.prepare(insertSql(table));
  const update = connection.prepare(updateSql(table));
  const counts: WriteCounts = { inserted: 0, updated: 0, unchanged: 0 };
  const bind = (columns: Column<R>[], row: R): SqlValue[] => columns.map((c) => c.value(row));
  for (const row of rows) {
    const key = bind(table.key, row);
    const values = bind(table.values, row);
    const source = bind(table.source, row);
    try {
      const inserted = insert.run(...key, ...values, ...source);
      if (inserted.changes > 0) {
        counts.inserted++;
        after?.(row, inserted.lastInsertRowid);
      } else if (update.run(...values, ...source, ...key, ...values).changes > 0) {
        counts.updated++;
        after?.(row, null);
      } else counts.unchanged++;
    } catch (error) {
      throw describeRefusal(table, row, error);
    }
  }
  return counts;
}

function writeSegments(connection: Connection, rows: Extract<RecordBatch, { kind: 'segments' }>['rows']): WriteCounts {
  const find = connection.prepare<{ row: number }>('SELECT row FROM segment WHERE id = ?');
  const readGeometry = connection.prepare<{ geometry: Buffer }>('SELECT geometry FROM segment WHERE row = ?');
  const setBox = connection.prepare('INSERT OR REPLACE INTO segmentBox VALUES (?, ?, ?, ?, ?)');
  const addState = connection.prepare('INSERT INTO state (segmentRow) VALUES (?)');
  return writeRows(connection, segmentTable, rows, (segment, insertedRow) => {
    const row = insertedRow ?? find.get(segment.id)?.row;
    const stored = row === undefined ? undefined : readGeometry.get(row);
    if (row === undefined || !stored) throw new Error(`Segment ${segment.id} vanished while it was written.`);
    const [west, south, east, north] = boxOfBlob(stored.geometry);
    setBox.run(row, west, east, south, north);
    if (insertedRow !== null) addState.run(insertedRow);
  });
}

/**
 * Writes one batch inside an open transaction.
 * @throws StoreError `reference` when a row points at a record that is not stored
 */
export function writeBatch(connection: Connection, batch: RecordBatch): WriteCounts {
  switch (batch.kind) {
    case 'facilities':
      return writeRows(connection, facilityTable, batch.rows);
    case 'segments':
      return writeSegments(connection, batch.rows);
    case 'seals':
      return writeRows(connection, sealTable, batch.rows);
    case 'inspections':
      return writeRows(connection, inspectionTable, batch.rows);
    case 'stations':
      return writeRows(connection, stationTable, batch.rows);
    case 'climate':
      return writeRows(connection, climateTable, batch.rows);
    case 'unit-costs':
      return writeRows(connection, unitCostTable, batch.rows);
    default:
      return batch satisfies never;
  }
}
