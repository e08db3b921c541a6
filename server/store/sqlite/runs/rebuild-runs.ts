import type { Connection } from '../connection.ts';
import { type Figures, readFigures } from '../figures.ts';
import { boxOfBlob, encodeGeometry, readParts } from '../geometry-blob.ts';
import { blobOfFloats, blobOfWholeNumbers, wholeNumbersOf } from '../number-blob.ts';
import { drawRun } from './draw-run.ts';
import { FINEST_ZOOMS, worldPx } from './levels.ts';
import { latOfMercator, lonOfMercator, mercatorX, mercatorY } from './mercator.ts';
import type { Path } from './polyline.ts';
import { type RunSums, sumRun } from './run-sums.ts';
import { type RunSegment, splitFacility } from './split-facility.ts';

interface StoredSegment {
  row: number;
  beginM: number | null;
  endM: number | null;
  lat: number;
  geometry: Buffer;
}

function toRunSegment({ row, beginM, endM, lat, geometry }: StoredSegment): RunSegment {
  const box: RunSegment['box'] = [Infinity, Infinity, -Infinity, -Infinity];
  const parts = readParts(geometry);
  for (const part of parts) {
    for (let i = 0; i < part.length; i += 2) {
      part[i] = mercatorX(part[i]);
      part[i + 1] = mercatorY(part[i + 1]);
      box[0] = Math.min(box[0], part[i]);
      box[1] = Math.min(box[1], part[i + 1]);
      box[2] = Math.max(box[2], part[i]);
      box[3] = Math.max(box[3], part[i + 1]);
    }
  }
  return { row, beginM, endM, lat, parts, box };
}

function geometryOf(lines: readonly Path[], level: number): Buffer {
  const scale = worldPx(level);
  const coordinates = lines.map((line) => {
    const points: number[][] = [];
    for (let i = 0; i < line.length; i += 2) {
      points.push([lonOfMercator(line[i] / scale), latOfMercator(line[i + 1] / scale)]);
    }
    return points;
  });
  return encodeGeometry(
    coordinates.length === 1
      ? { type: 'LineString', coordinates: coordinates[0] }
      : { type: 'MultiLineString', coordinates },
  );
}

const sumValues = (sums: RunSums) => [
  sums.segments,
  sums.sealedLengthM,
  sums.distressedM,
  sums.maxDamagedShare,
  sums.dueYear,
  sums.failedByYearEnd && blobOfFloats(sums.failedByYearEnd),
];

class RunWriter {
  readonly #connection: Connection;
  readonly #figures: Figures;
  readonly #thresholdShare: number;

  constructor(connection: Connection, figures: Figures, thresholdShare: number) {
    this.#connection = connection;
    this.#figures = figures;
    this.#thresholdShare = thresholdShare;
  }

  writeFacility(facilityId: string, segments: readonly RunSegment[]): void {
    for (let level = 0; level < FINEST_ZOOMS.length; level++) {
      let before: number[] | null = null;
      for (const { pieces, following } of splitFacility(segments, level)) {
        const lines = drawRun(pieces, following ? before : null);
        before = lines[lines.length - 1].slice(-2);
        this.#write({ facilityId, level, geometry: geometryOf(lines, level) }, pieces);
      }
    }
  }

  #write(
    { facilityId, level, geometry }: { facilityId: string; level: number; geometry: Buffer },
    pieces: readonly { row: number }[],
  ): void {
    const members = Int32Array.from(pieces, (piece) => piece.row);
    const sums = sumRun(members, this.#figures, { thresholdShare: this.#thresholdShare, kept: null });
    const { lastInsertRowid: row } = this.#connection.run(
      `INSERT INTO run (level, facilityId, geometry, members, segments, sealedLengthM, distressedM, maxDamagedShare,
         dueYear, failedByYearEnd) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
      ...[level, facilityId, geometry, blobOfWholeNumbers(members), ...sumValues(sums)],
    );
    const [west, south, east, north] = boxOfBlob(geometry);
    this.#connection.run(
      'INSERT INTO runBox VALUES (?, ?, ?, ?, ?, ?, ?)',
      ...[row, west, east, south, north, level, level],
    );
  }
}

/** Which runs to make anew, and the share from which a segment counts as distressed. */
export interface RunScope {
  thresholdShare: number;
  /** Ids; null: all. */ facilities: ReadonlySet<string> | null;
}

function readSegments(connection: Connection, facilityId: string): RunSegment[] {
  const stored = connection.all<StoredSegment>(
    'SELECT row, beginM, endM, lat, geometry FROM segment WHERE facilityId = ? ORDER BY row',
    facilityId,
  );
  return stored.map(toRunSegment);
}

/** Draws the runs of facilities anew from their segments, inside an open transaction. One facility is in memory. */
export function rebuildRuns(connection: Connection, { thresholdShare, facilities }: RunScope): void {
  const writer = new RunWriter(connection, readFigures(connection, facilities), thresholdShare);
  const all = connection.all<{ id: string }>('SELECT id FROM facility ORDER BY id').map(({ id }) => id);
  for (const id of facilities ? all.filter((one) => facilities.has(one)) : all) {
    connection.run('DELETE FROM runBox WHERE row IN (SELECT row FROM run WHERE facilityId = ?)', id);
    connection.run('DELETE FROM run WHERE facilityId = ?', id);
    const segments = readSegments(connection, id);
    if (segments.length > 0) writer.writeFacility(id, segments);
  }
}

/** Sums of runs anew, their lines unchanged; after a forecast, new histories or another failure threshold. */
export function refreshRunSums(
  connection: Connection,
  { thresholdShare, facilities }: RunScope,
  figures: Figures = readFigures(connection, facilities),
): void {
  const update = connection.prepare(
    `UPDATE run SET segments = ?, sealedLengthM = ?, distressedM = ?, maxDamagedShare = ?, dueYear = ?,
       failedByYearEnd = ? WHERE row = ?`,
  );
  const these = facilities ? 'WHERE facilityId IN (SELECT value FROM json_each(?))' : '';
  const wanted = facilities ? [JSON.stringify([...facilities])] : [];
  for (const [row, blob] of connection.lines<[number, Buffer]>(`SELECT row, members FROM run ${these}`, ...wanted)) {
    update.run(...sumValues(sumRun(wholeNumbersOf(blob), figures, { thresholdShare, kept: null })), row);
  }
}
