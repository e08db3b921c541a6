import type { Connection, SqlValue } from './connection.ts';
import type { PagePlace } from './page-token.ts';

/** Lines to choose from. */
export interface LineSource {
  readonly columns: string;
  readonly from: string;
  readonly where: string;
  readonly params: readonly SqlValue[];
}

export interface LineOrder {
  /** Indexed column. */ readonly column: string;
  /** Row number of the same table, which every index of that table ends with: no sorting is needed. */
  readonly tie: string;
  readonly descending: boolean;
}

/**
 * Lines in order from just after `place`, by keyset: the same speed at any depth, and no line twice or left out when others
 * are added meanwhile. Lines without a value stand last in both directions.
 */
export function keysetLines<R>(
  connection: Connection,
  source: LineSource,
  order: LineOrder,
  { place, limit }: { place: PagePlace | null; limit: number },
): R[] {
  const lines = place?.value === null ? [] : knownLines<R>(connection, source, order, place, limit);
  if (lines.length < limit) {
    const afterRow = place?.value === null ? place.row : Number.MIN_SAFE_INTEGER;
    lines.push(...unknownLines<R>(connection, source, order, afterRow, limit - lines.length));
  }
  return lines;
}

function knownLines<R>(
  connection: Connection,
  { columns, from, where, params }: LineSource,
  { column, tie, descending }: LineOrder,
  place: PagePlace | null,
  limit: number,
): R[] {
  const [direction, beyond] = descending ? ['DESC', '<'] : ['ASC', '>'];
  const start: SqlValue[] = place ? [place.value, place.row] : [];
  const sql = `SELECT ${columns} FROM ${from}
    WHERE ${where} AND ${column} IS NOT NULL ${place ? `AND (${column}, ${tie}) ${beyond} (?, ?)` : ''}
    ORDER BY ${column} ${direction}, ${tie} ${direction} LIMIT ?`;
  return connection.all<R>(sql, ...params, ...start, limit);
}

function unknownLines<R>(
  connection: Connection,
  { columns, from, where, params }: LineSource,
  { column, tie }: LineOrder,
  afterRow: number,
  limit: number,
): R[] {
  const sql = `SELECT ${columns} FROM ${from}
    WHERE ${where} AND ${column} IS NULL AND ${tie} > ? ORDER BY ${tie} LIMIT ?`;
  return connection.all<R>(sql, ...params, afterRow, limit);
}
