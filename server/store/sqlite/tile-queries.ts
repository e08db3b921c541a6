import type { Filter } from '../../schemas/filter.ts';
import type { BoxDegrees, TileRun, TileSegment } from '../store.ts';
import type { Connection } from './connection.ts';
import type { Figures } from './figures.ts';
import { filterToSql, SEGMENTS_WITH_STATE } from './filter-sql.ts';
import { boxOfBlob, decodeGeometry } from './geometry-blob.ts';
import { floatsOf, wholeNumbersOf } from './number-blob.ts';
import { levelOfZoom } from './runs/levels.ts';
import { sumRun } from './runs/run-sums.ts';
import { type WorkYears, workedShares } from './work-years.ts';

type Stored<T> = Omit<T, 'failedByYearEnd' | 'workByYear' | 'geometry'> & {
  failedByYearEnd: Buffer | null;
  geometry: Buffer;
};
type StoredTileSegment = Omit<Stored<TileSegment>, 'unsealedByPolicy'> & { unsealedByPolicy: number };

const overlaps = (a: BoxDegrees, b: BoxDegrees): boolean =>
  a[0] <= b[2] && a[2] >= b[0] && a[1] <= b[3] && a[3] >= b[1];

const floatsOrNull = (blob: Buffer | null): Float32Array | null => (blob ? floatsOf(blob) : null);

/** Segments whose box meets the box, in row order, at most `limit`. `workYears`: of the program to show with them. */
export function segmentsInBox(
  connection: Connection,
  { box, filter, limit, workYears }: { box: BoxDegrees; filter: Filter; limit: number; workYears: WorkYears | null },
): TileSegment[] {
  const { where, params } = filterToSql(filter);
  const [west, south, east, north] = box;
  const sql = `SELECT s.row AS rowId, s.id, s.facilityId, f.kind AS facilityKind, s.jointType, s.direction, s.sealedLengthM,
      t.sealantClass, t.damagedShare, s.unsealedByPolicy, t.dueYear, t.planningYear, t.failedByYearEnd, s.geometry
    FROM ${SEGMENTS_WITH_STATE}
    WHERE s.row IN (SELECT row FROM segmentBox WHERE west <= ? AND east >= ? AND south <= ? AND north >= ?)
      AND ${where} AND s.row > ? ORDER BY s.row LIMIT ?`;
  const found: TileSegment[] = [];
  // The tree's boxes are a little too wide, so some lines fall away and more may have to be fetched.
  for (let afterRow = Number.MIN_SAFE_INTEGER; found.length < limit; ) {
    const wanted = limit - found.length;
    const lines = connection.all<StoredTileSegment>(sql, east, west, north, south, ...params, afterRow, wanted);
    for (const line of lines) {
      if (!overlaps(boxOfBlob(line.geometry), box)) continue;
      found.push({
        ...line,
        unsealedByPolicy: line.unsealedByPolicy === 1,
        failedByYearEnd: floatsOrNull(line.failedByYearEnd),
        workByYear: workYears && workedShares([line.rowId], workYears),
        geometry: decodeGeometry(line.geometry),
      });
    }
    if (lines.length < wanted) break;
    afterRow = lines[lines.length - 1].rowId;
  }
  return found;
}

/** One entry a row number: 1 for the segments that the filter keeps. */
export function keptRows(connection: Connection, filter: Filter, rows: number): Uint8Array {
  const { where, params } = filterToSql(filter);
  const kept = new Uint8Array(rows);
  const found = connection.db
    .prepare<unknown[], number>(`SELECT s.row FROM segment s JOIN state t ON t.segmentRow = s.row WHERE ${where}`)
    .pluck()
    .all(...params);
  for (const row of found) kept[row] = 1;
  return kept;
}

/** What the sums under a filter need; null: all segments, whose sums are stored. */
export interface RunFilter {
  figures: Figures;
  kept: Uint8Array;
  thresholdShare: number;
}

/** Runs whose box meets the box. Under a filter, sums are of the segments kept, and runs without any are left out. */
export function runsInBox(
  connection: Connection,
  {
    zoom,
    box,
    runFilter,
    workYears,
  }: { zoom: number; box: BoxDegrees; runFilter: RunFilter | null; workYears: WorkYears | null },
): TileRun[] {
  const [west, south, east, north] = box;
  const level = levelOfZoom(zoom);
  const lines = connection.all<Stored<TileRun> & { members?: Buffer }>(
    `SELECT r.row AS runId, r.facilityId, f.kind AS facilityKind, r.segments, r.sealedLengthM, r.distressedM,
       r.maxDamagedShare, r.dueYear, r.failedByYearEnd, r.geometry${runFilter || workYears ? ', r.members' : ''}
     FROM runBox b JOIN run r ON r.row = b.row JOIN facility f ON f.id = r.facilityId
     WHERE b.west <= ? AND b.east >= ? AND b.south <= ? AND b.north >= ? AND b.levelFrom <= ? AND b.levelTo >= ?
     ORDER BY r.row`,
    ...[east, west, north, south, level, level],
  );
  const runs: TileRun[] = [];
  for (const { members: blob, geometry, failedByYearEnd, ...run } of lines) {
    if (!overlaps(boxOfBlob(geometry), box)) continue;
    const members = blob ? wholeNumbersOf(blob) : new Int32Array();
    const sums = runFilter
      ? sumRun(members, runFilter.figures, runFilter)
      : { ...run, failedByYearEnd: floatsOrNull(failedByYearEnd) };
    if (sums.segments === 0) continue;
    const workByYear = workYears && workedShares(members, workYears, runFilter?.kept);
    runs.push({ ...run, ...sums, workByYear, geometry: decodeGeometry(geometry) });
  }
  return runs;
}
