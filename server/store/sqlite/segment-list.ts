import type { Filter, SortField } from '../../schemas/filter.ts';
import type { SegmentPage, SegmentRow } from '../../schemas/forecast.ts';
import type { LineGeometry } from '../../schemas/segment.ts';
import type { Connection, SqlValue } from './connection.ts';
import { filterToSql, keepsAll, SEGMENTS_WITH_STATE } from './filter-sql.ts';
import { type PagePlace, readPageToken, writePageToken } from './page-token.ts';
import { ROW_COLUMNS, type StoredRow, toSegmentRow } from './segment-rows.ts';

interface Sorted {
  /** Indexed column. */ column: string;
  /** Row number of the same table, which every index of that table ends with: no sorting is needed. */ tie: string;
}

const bySegment = (name: string): Sorted => ({ column: `s.${name}`, tie: 's.row' });
const byState = (name: string): Sorted => ({ column: `t.${name}`, tie: 't.segmentRow' });

const SORTED: Record<SortField, Sorted> = {
  id: bySegment('id'),
  facilityId: bySegment('facilityId'),
  district: bySegment('district'),
  jointType: bySegment('jointType'),
  sealedLengthM: bySegment('sealedLengthM'),
  sealantClass: byState('sealantClass'),
  ageYears: byState('ageYears'),
  damagedShare: byState('damagedShare'),
  failedNowProbability: byState('failedNowProbability'),
  dueYear: byState('dueYear'),
  medianFailureYear: byState('medianFailureYear'),
};

export interface ListQuery {
  filter: Filter;
  sort: SortField;
  descending: boolean;
  limit: number;
  after: string | null;
}

export function countSegments(connection: Connection, filter: Filter): number {
  if (keepsAll(filter)) return connection.get<{ n: number }>('SELECT count(*) AS n FROM segment')?.n ?? 0;
  const { where, params } = filterToSql(filter);
  const sql = `SELECT count(*) AS n FROM segment s JOIN state t ON t.segmentRow = s.row WHERE ${where}`;
  return connection.get<{ n: number }>(sql, ...params)?.n ?? 0;
}

/** Lines with a value, in its order, from just after `place`. */
function knownLines(connection: Connection, query: ListQuery, place: PagePlace | null, limit: number): StoredRow[] {
  const { where, params } = filterToSql(query.filter);
  const { column, tie } = SORTED[query.sort];
  const [direction, beyond] = query.descending ? ['DESC', '<'] : ['ASC', '>'];
  const start: SqlValue[] = place ? [place.value, place.row] : [];
  const sql = `SELECT ${ROW_COLUMNS} FROM ${SEGMENTS_WITH_STATE}
    WHERE ${where} AND ${column} IS NOT NULL ${place ? `AND (${column}, ${tie}) ${beyond} (?, ?)` : ''}
    ORDER BY ${column} ${direction}, ${tie} ${direction} LIMIT ?`;
  return connection.all<StoredRow>(sql, ...params, ...start, limit);
}

/** Lines without a value stand last in both directions. */
function unknownLines(connection: Connection, query: ListQuery, afterRow: number, limit: number): StoredRow[] {
  const { where, params } = filterToSql(query.filter);
  const { column, tie } = SORTED[query.sort];
  const sql = `SELECT ${ROW_COLUMNS} FROM ${SEGMENTS_WITH_STATE}
    WHERE ${where} AND ${column} IS NULL AND ${tie} > ? ORDER BY ${tie} LIMIT ?`;
  return connection.all<StoredRow>(sql, ...params, afterRow, limit);
}

/**
 * One page by keyset: the same speed at any depth, and no line twice or left out when others are added meanwhile.
 * @throws StoreError `page-token`
 */
export function listSegments(connection: Connection, query: ListQuery, numberMatched: number): SegmentPage {
  const place = query.after === null ? null : readPageToken(query, query.after);
  const wanted = query.limit + 1; // one more tells whether a page follows
  const lines = place?.value === null ? [] : knownLines(connection, query, place, wanted);
  if (lines.length < wanted) {
    const afterRow = place?.value === null ? place.row : Number.MIN_SAFE_INTEGER;
    lines.push(...unknownLines(connection, query, afterRow, wanted - lines.length));
  }
  const shown = lines.slice(0, query.limit);
  const last = shown.at(-1);
  const more = lines.length > shown.length && last !== undefined;
  return {
    items: shown.map(toSegmentRow),
    numberMatched,
    next: more ? writePageToken(query, { value: last[query.sort], row: last.segmentRow }) : null,
  };
}

const EXPORT_BATCH = 1000;

/** Rows in id order; each batch is a query of its own, so a slow reader holds nothing back. */
export async function* exportSegments(
  connection: Connection,
  filter: Filter,
  withGeometry: boolean,
): AsyncGenerator<(SegmentRow & { geometry?: LineGeometry })[]> {
  const { where, params } = filterToSql(filter);
  const sql = `SELECT ${ROW_COLUMNS}${withGeometry ? ', s.geometry' : ''} FROM ${SEGMENTS_WITH_STATE}
    WHERE ${where} AND s.id > ? ORDER BY s.id LIMIT ${EXPORT_BATCH}`;
  for (let afterId = ''; ; ) {
    const lines = connection.all<StoredRow>(sql, ...params, afterId);
    if (lines.length > 0) yield lines.map(toSegmentRow);
    if (lines.length < EXPORT_BATCH) return;
    afterId = lines[lines.length - 1].id;
  }
}
