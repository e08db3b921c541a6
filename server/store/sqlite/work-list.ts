import type { WorkFilter } from '../../schemas/program.ts';
import type { StoredWork, StoredWorkPage, WorkQuery } from '../scenario-store.ts';
import type { Connection } from './connection.ts';
import { allOf, bound, oneOf, type SqlCondition } from './filter-sql.ts';
import { keysetLines } from './keyset-lines.ts';
import { readPageToken, writePageToken } from './page-token.ts';
import { WORK_COLUMNS, workTable } from './work-table.ts';

type WorkLine = StoredWork & { row: number };

const workOf = ({ row: _, ...work }: WorkLine): StoredWork => work;

const filterToSql = (filter: WorkFilter): SqlCondition =>
  allOf([
    ...bound(filter.year, 'year = ?'),
    ...bound(filter.minYear, 'year >= ?'),
    ...bound(filter.maxYear, 'year <= ?'),
    ...oneOf(filter.district, 'district IN (SELECT value FROM json_each(?))'),
    ...oneOf(filter.facility, 'facilityId IN (SELECT value FROM json_each(?))'),
    ...oneOf(filter.segmentIds, 'segmentId IN (SELECT value FROM json_each(?))'),
    ...oneOf(filter.sealantClass, 'sealantClass IN (SELECT value FROM json_each(?))'),
    ...oneOf(filter.why, 'why IN (SELECT value FROM json_each(?))'),
  ]);

export function countWorks(connection: Connection, programNumber: number, filter: WorkFilter): number {
  const { where, params } = filterToSql(filter);
  const sql = `SELECT count(*) AS n FROM ${workTable(programNumber)} WHERE ${where}`;
  return connection.get<{ n: number }>(sql, ...params)?.n ?? 0;
}

/**
 * One page by keyset.
 * @throws StoreError `page-token`
 */
export function listWorks(
  connection: Connection,
  programNumber: number,
  query: WorkQuery,
  numberMatched: number,
): StoredWorkPage {
  const place = query.after === null ? null : readPageToken(query, query.after);
  const source = { columns: `row, ${WORK_COLUMNS}`, from: workTable(programNumber), ...filterToSql(query.filter) };
  const order = { column: query.sort, tie: 'row', descending: query.descending };
  // One more tells whether a page follows.
  const lines = keysetLines<WorkLine>(connection, source, order, { place, limit: query.limit + 1 });
  const shown = lines.slice(0, query.limit);
  const last = shown.at(-1);
  const more = lines.length > shown.length && last !== undefined;
  return {
    items: shown.map(workOf),
    numberMatched,
    next: more ? writePageToken(query, { value: last[query.sort], row: last.row }) : null,
  };
}

const BATCH = 2000;

/** All works; each batch is a query of its own, so a slow reader holds nothing back. */
export async function* readWorks(
  connection: Connection,
  programNumber: number,
  order: 'segment' | 'year',
): AsyncGenerator<StoredWork[]> {
  const key = order === 'segment' ? 'segmentId, year' : 'row, year';
  const sql = `SELECT row, ${WORK_COLUMNS} FROM ${workTable(programNumber)}
    WHERE (${key}) > (?, ?) ORDER BY ${key} LIMIT ${BATCH}`;
  for (let after: [string | number, number] = [order === 'segment' ? '' : 0, 0]; ; ) {
    const lines = connection.all<WorkLine>(sql, ...after);
    if (lines.length > 0) yield lines.map(workOf);
    if (lines.length < BATCH) return;
    const last = lines[lines.length - 1];
    after = [order === 'segment' ? last.segmentId : last.row, last.year];
  }
}
