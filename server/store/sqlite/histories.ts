import type { ClimateDay, ClimateStation } from '../../schemas/climate.ts';
import type { Facility } from '../../schemas/facility.ts';
import type { Inspection } from '../../schemas/inspection.ts';
import type { Seal } from '../../schemas/seal.ts';
import type { LineGeometry } from '../../schemas/segment.ts';
import type { SegmentHistory } from '../store.ts';
import type { Connection } from './connection.ts';
import { isoDay } from './day-number.ts';
import { decodeGeometry } from './geometry-blob.ts';

type Flags = 'fuelExposure' | 'unsealedByPolicy';
type StoredSegment = Omit<SegmentHistory['segment'], Flags> &
  Record<Flags, number> & { row: number; geometry?: Buffer };
type StoredSeal = Omit<Seal, 'segmentId'> & { row: number; segmentRow: number };
type StoredInspection = Omit<Inspection, 'segmentId' | 'damageShares' | 'photographs'> & {
  row: number;
  segmentRow: number;
  damageShares: string | null;
  photographs: string | null;
};

const SEGMENT_COLUMNS = `row, id, facilityId, district, jointType, beginM, endM, slabLengthM, slabThicknessMm,
  baseType, coarseAggregate, widthMm, widthAtC, reservoirDepthMm, jointCount, sealedLengthM, fuelExposure,
  consequenceWeight, unsealedByPolicy, leftAloneReason, lon, lat, sourceFile, sourceRow`;

const FACILITY_COLUMNS = `id, kind, name, route, district, lanes, widthM, aadt, truckShare, departuresPerYear,
  yearBuilt, recordsFrom, sourceFile, sourceRow`;

export const listFacilities = (connection: Connection): Facility[] =>
  connection.all<Facility>(`SELECT ${FACILITY_COLUMNS} FROM facility ORDER BY id`);

function toSeal({ row: _, segmentRow: __, ...seal }: StoredSeal, segmentId: string): Seal {
  return { ...seal, segmentId };
}

function toInspection(stored: StoredInspection, segmentId: string): Inspection {
  const { row: _, segmentRow: __, damageShares, photographs, ...inspection } = stored;
  return {
    ...inspection,
    segmentId,
    damageShares: damageShares === null ? {} : (JSON.parse(damageShares) as Inspection['damageShares']),
    photographs: photographs === null ? [] : (JSON.parse(photographs) as string[]),
  };
}

function bySegment<T extends { segmentRow: number }>(lines: readonly T[]): Map<number, T[]> {
  const groups = new Map<number, T[]>();
  for (const line of lines) {
    const group = groups.get(line.segmentRow);
    if (group) group.push(line);
    else groups.set(line.segmentRow, [line]);
  }
  return groups;
}

/** Adds facility, seals and inspections to segments, in their order. */
function withHistory(
  connection: Connection,
  segments: readonly StoredSegment[],
  facilities: ReadonlyMap<string, Facility>,
): SegmentHistory[] {
  const rows = JSON.stringify(segments.map((segment) => segment.row));
  const seals = bySegment(
    connection.all<StoredSeal>(
      `SELECT * FROM seal WHERE segmentRow IN (SELECT value FROM json_each(?))
       ORDER BY installedFrom, installedTo, id`,
      rows,
    ),
  );
  const inspections = bySegment(
    connection.all<StoredInspection>(
      `SELECT * FROM inspection WHERE segmentRow IN (SELECT value FROM json_each(?)) ORDER BY inspectedOn, id`,
      rows,
    ),
  );
  return segments.map(({ row, geometry: _, fuelExposure, unsealedByPolicy, ...rest }) => {
    const facility = facilities.get(rest.facilityId);
    if (!facility) throw new Error(`Segment ${rest.id} has no facility ${rest.facilityId}.`);
    return {
      segment: { ...rest, fuelExposure: fuelExposure === 1, unsealedByPolicy: unsealedByPolicy === 1 },
      facility,
      seals: (seals.get(row) ?? []).map((seal) => toSeal(seal, rest.id)),
      inspections: (inspections.get(row) ?? []).map((inspection) => toInspection(inspection, rest.id)),
    };
  });
}

const HISTORY_BATCH = 1000;

/** Histories in segment id order; each batch is one short snapshot. */
export async function* readHistories(connection: Connection): AsyncGenerator<SegmentHistory[]> {
  const sql = `SELECT ${SEGMENT_COLUMNS} FROM segment WHERE id > ? ORDER BY id LIMIT ${HISTORY_BATCH}`;
  for (let afterId = ''; ; ) {
    const batch = connection.snapshot(() => {
      const segments = connection.all<StoredSegment>(sql, afterId);
      const facilities = new Map(listFacilities(connection).map((facility) => [facility.id, facility]));
      return withHistory(connection, segments, facilities);
    });
    if (batch.length > 0) yield batch;
    if (batch.length < HISTORY_BATCH) return;
    afterId = batch[batch.length - 1].segment.id;
  }
}

export function findSegment(connection: Connection, id: string): (SegmentHistory & { geometry: LineGeometry }) | null {
  return connection.snapshot(() => {
    const segment = connection.get<StoredSegment & { geometry: Buffer }>(
      `SELECT ${SEGMENT_COLUMNS}, geometry FROM segment WHERE id = ?`,
      id,
    );
    if (!segment) return null;
    const facility = connection.get<Facility>(
      `SELECT ${FACILITY_COLUMNS} FROM facility WHERE id = ?`,
      segment.facilityId,
    );
    const facilities = new Map(facility ? [[facility.id, facility]] : []);
    const [history] = withHistory(connection, [segment], facilities);
    return { ...history, geometry: decodeGeometry(segment.geometry) };
  });
}

export const listStations = (connection: Connection): ClimateStation[] =>
  connection.all<ClimateStation>(
    'SELECT id, name, lon, lat, elevationM, sourceFile, sourceRow FROM station ORDER BY id',
  );

export function readClimateDays(connection: Connection, stationId: string): ClimateDay[] {
  const days = connection.all<Omit<ClimateDay, 'stationId' | 'day'> & { dayNumber: number }>(
    `SELECT dayNumber, maxC, minC, precipitationMm FROM climateDay
     WHERE stationRow = (SELECT row FROM station WHERE id = ?) ORDER BY dayNumber`,
    stationId,
  );
  return days.map(({ dayNumber, ...day }) => ({ stationId, day: isoDay(dayNumber), ...day }));
}
