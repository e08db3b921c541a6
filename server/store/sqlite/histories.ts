import { isoDay } from '../../../analytics/survival/observation-dates.ts';
import type { ClimateDay, ClimateStation } from '../../schemas/climate.ts';
import type { Facility } from '../../schemas/facility.ts';
import type { Direction } from '../../schemas/words.ts';
import type { DrawnSegment, SegmentHistory } from '../store.ts';
import type { Connection } from './connection.ts';
import { decodeGeometry } from './geometry-blob.ts';
import {
  INSPECTION_COLUMNS,
  type InspectionLine,
  SEAL_COLUMNS,
  SEGMENT_COLUMNS,
  type SealLine,
  type SegmentLine,
  toInspection,
  toSeal,
  toSegment,
} from './history-lines.ts';

const FACILITY_COLUMNS = `id, kind, name, route, district, lanes, widthM, aadt, truckShare, departuresPerYear,
  yearBuilt, recordsFrom, sourceFile, sourceRow`;

export const listFacilities = (connection: Connection): Facility[] =>
  connection.all<Facility>(`SELECT ${FACILITY_COLUMNS} FROM facility ORDER BY id`);

function facilitiesOf(connection: Connection, segments: readonly (readonly unknown[])[]): Map<string, Facility> {
  const ids = JSON.stringify([...new Set(segments.map(([, , facilityId]) => facilityId))]);
  const sql = `SELECT ${FACILITY_COLUMNS} FROM facility WHERE id IN (SELECT value FROM json_each(?))`;
  return new Map(connection.all<Facility>(sql, ids).map((facility) => [facility.id, facility]));
}

/** Lines by their first column, the segment's row. */
function bySegment<L extends [number, ...unknown[]]>(lines: readonly L[]): Map<number, L[]> {
  const groups = new Map<number, L[]>();
  for (const line of lines) {
    const group = groups.get(line[0]);
    if (group) group.push(line);
    else groups.set(line[0], [line]);
  }
  return groups;
}

/** Adds facility, seals and inspections to segments, in their order. */
function withHistory(connection: Connection, segments: readonly SegmentLine[]): SegmentHistory[] {
  const rows = JSON.stringify(segments.map(([row]) => row));
  const ofThese = 'WHERE segmentRow IN (SELECT value FROM json_each(?))';
  const sealSql = `SELECT ${SEAL_COLUMNS} FROM seal ${ofThese} ORDER BY installedFrom, installedTo, id`;
  const inspectionSql = `SELECT ${INSPECTION_COLUMNS} FROM inspection ${ofThese} ORDER BY inspectedOn, id`;
  const facilities = facilitiesOf(connection, segments);
  const seals = bySegment(connection.lines<SealLine>(sealSql, rows));
  const inspections = bySegment(connection.lines<InspectionLine>(inspectionSql, rows));
  return segments.map((line) => {
    const [row, id, facilityId] = line;
    return {
      segment: toSegment(line),
      facility: facilityAt(facilities, facilityId),
      seals: (seals.get(row) ?? []).map((seal) => toSeal(seal, id)),
      inspections: (inspections.get(row) ?? []).map((inspection) => toInspection(inspection, id)),
    };
  });
}

export function facilityAt(facilities: ReadonlyMap<string, Facility>, id: string): Facility {
  const facility = facilities.get(id);
  if (!facility) throw new Error(`There is no facility ${id}.`);
  return facility;
}

export function findSegment(connection: Connection, id: string): DrawnSegment | null {
  return connection.snapshot(() => {
    const [line] = connection.lines<SegmentLine>(`SELECT ${SEGMENT_COLUMNS} FROM segment WHERE id = ?`, id);
    const drawn = connection.get<{ geometry: Buffer }>('SELECT geometry FROM segment WHERE id = ?', id);
    if (!line || !drawn) return null;
    const [history] = withHistory(connection, [line]);
    return { ...history, geometry: decodeGeometry(drawn.geometry) };
  });
}

const FOUND_BATCH = 2000;

export function findSegments(connection: Connection, ids: readonly string[]): DrawnSegment[] {
  const found: DrawnSegment[] = [];
  for (let at = 0; at < ids.length; at += FOUND_BATCH) {
    const wanted = JSON.stringify(ids.slice(at, at + FOUND_BATCH));
    const among = 'WHERE id IN (SELECT value FROM json_each(?)) ORDER BY row';
    found.push(
      ...connection.snapshot(() => {
        const lines = connection.lines<SegmentLine>(`SELECT ${SEGMENT_COLUMNS} FROM segment ${among}`, wanted);
        const drawn = connection.all<{ geometry: Buffer }>(`SELECT geometry FROM segment ${among}`, wanted);
        return withHistory(connection, lines).map((history, i) => ({
          ...history,
          geometry: decodeGeometry(drawn[i].geometry),
        }));
      }),
    );
  }
  return found;
}

export function readFacilityPlaces(connection: Connection): Map<string, { lon: number; lat: number }> {
  const lines = connection.lines<[facilityId: string, lon: number, lat: number]>(
    'SELECT facilityId, avg(lon), avg(lat) FROM segment GROUP BY facilityId',
  );
  return new Map(lines.map(([facilityId, lon, lat]) => [facilityId, { lon, lat }]));
}

export function readDirections(connection: Connection): Map<string, Direction[]> {
  const lines = connection.lines<[facilityId: string, direction: Direction]>(
    `SELECT DISTINCT facilityId, direction FROM segment WHERE direction IS NOT NULL AND direction <> 'both'
     ORDER BY facilityId, direction`,
  );
  const found = new Map<string, Direction[]>();
  for (const [facilityId, direction] of lines) found.set(facilityId, [...(found.get(facilityId) ?? []), direction]);
  return found;
}

export const listStations = (connection: Connection): ClimateStation[] =>
  connection.all<ClimateStation>(
    'SELECT id, name, lon, lat, elevationM, sourceFile, sourceRow FROM station ORDER BY id',
  );

type DayLine = [dayNumber: number, maxC: number | null, minC: number | null, precipitationMm: number | null];

/** A station has a hundred thousand values in decades: as one JSON text they come in a third of the time. */
export function readClimateDays(connection: Connection, stationId: string): ClimateDay[] {
  const [[text]] = connection.lines<[string]>(
    `SELECT json_group_array(json_array(dayNumber, maxC, minC, precipitationMm) ORDER BY dayNumber) FROM climateDay
     WHERE stationRow = (SELECT row FROM station WHERE id = ?)`,
    stationId,
  );
  return (JSON.parse(text) as DayLine[]).map(([day, maxC, minC, precipitationMm]) => ({
    stationId,
    day: isoDay(day),
    maxC,
    minC,
    precipitationMm,
  }));
}
