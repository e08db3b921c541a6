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

/** What a load changed, so that no more is recomputed than hangs on it. */
export interface Touched {
  /** Any row of any kind. */ any: boolean;
  /** Facilities whose segments changed. */ facilities: Set<string>;
  /** Segments whose own record, seals or inspections changed. */ segments: Set<string>;
}

export const nothingTouched = (): Touched => ({ any: false, facilities: new Set(), segments: new Set() });

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

type Segments = Extract<RecordBatch, { kind: 'segments' }>['rows'];

const facilitiesBefore = (connection: Connection, segments: Segments): Map<string, string> =>
  new Map(
    connection.lines<[id: string, facilityId: string]>(
      'SELECT id, facilityId FROM segment WHERE id IN (SELECT value FROM json_each(?))',
      JSON.stringify(segments.map(({ id }) => id)),
    ),
  );

function writeSegments(connection: Connection, segments: Segments, touched: Touched): WriteCounts {
  const read = connection.prepare<{ row: number; geometry: Buffer }>('SELECT row, geometry FROM segment WHERE id = ?');
  const setBox = connection.prepare('INSERT OR REPLACE INTO segmentBox VALUES (?, ?, ?, ?, ?)');
  const addState = connection.prepare('INSERT INTO state (segmentRow) VALUES (?)');
  const before = facilitiesBefore(connection, segments);
  return writeRows(connection, segmentTable, segments, (segment, insertedRow) => {
    const stored = read.get(segment.id);
    if (!stored) throw new Error(`Segment ${segment.id} vanished while it was written.`);
    const [west, south, east, north] = boxOfBlob(stored.geometry);
    setBox.run(stored.row, west, east, south, north);
    if (insertedRow !== null) addState.run(insertedRow);
    touched.segments.add(segment.id);
    touched.facilities.add(segment.facilityId);
    touched.facilities.add(before.get(segment.id) ?? segment.facilityId);
  });
}

/**
 * Writes one batch inside an open transaction.
 * @param touched is added to
 * @throws StoreError `reference` when a row points at a record that is not stored
 */
export function writeBatch(connection: Connection, batch: RecordBatch, touched: Touched): WriteCounts {
  const counts = writeKind(connection, batch, touched);
  if (counts.inserted + counts.updated > 0) touched.any = true;
  return counts;
}

function writeKind(connection: Connection, batch: RecordBatch, touched: Touched): WriteCounts {
  const touchSegment = ({ segmentId }: { segmentId: string }) => touched.segments.add(segmentId);
  switch (batch.kind) {
    case 'facilities':
      return writeRows(connection, facilityTable, batch.rows);
    case 'segments':
      return writeSegments(connection, batch.rows, touched);
    case 'seals':
      return writeRows(connection, sealTable, batch.rows, touchSegment);
    case 'inspections':
      return writeRows(connection, inspectionTable, batch.rows, touchSegment);
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
