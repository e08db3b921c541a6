import type { Filter, SortField } from '../../schemas/filter.ts';
import type { SegmentPage, SegmentRow } from '../../schemas/forecast.ts';
import type { LineGeometry } from '../../schemas/segment.ts';
import type { Connection } from './connection.ts';
import { filterToSql, keepsAll, SEGMENTS_WITH_STATE } from './filter-sql.ts';
import { keysetLines, type LineOrder } from './keyset-lines.ts';
import { readPageToken, writePageToken } from './page-token.ts';
import { ROW_COLUMNS, type StoredRow, toSegmentRow } from './segment-rows.ts';

type Sorted = Pick<LineOrder, 'column' | 'tie'>;

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

/**
 * One page by keyset.
 * @throws StoreError `page-token`
 */
export function listSegments(connection: Connection, query: ListQuery, numberMatched: number): SegmentPage {
  const place = query.after === null ? null : readPageToken(query, query.after);
  const source = { columns: ROW_COLUMNS, from: SEGMENTS_WITH_STATE, ...filterToSql(query.filter) };
  const order = { ...SORTED[query.sort], descending: query.descending };
  // One more tells whether a page follows.
  const lines = keysetLines<StoredRow>(connection, source, order, { place, limit: query.limit + 1 });
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
