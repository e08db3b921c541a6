import type { RecordKind } from '../../schemas/words.ts';
import type { BoxDegrees, Store } from '../store.ts';
import type { Connection } from './connection.ts';

const TABLES: Record<RecordKind, string> = {
  facilities: 'facility',
  segments: 'segment',
  seals: 'seal',
  inspections: 'inspection',
  stations: 'station',
  climate: 'climateDay',
  'unit-costs': 'unitCost',
};

export function countRecords(connection: Connection): Record<RecordKind, number> {
  const counts = Object.entries(TABLES).map(([kind, table]) => `(SELECT count(*) FROM ${table}) AS '${kind}'`);
  const found = connection.get<Record<RecordKind, number>>(`SELECT ${counts.join(', ')}`);
  if (!found) throw new Error('Counting records gave no line.');
  return found;
}

export function readKeys(connection: Connection, kind: 'facilities' | 'segments' | 'stations'): Set<string> {
  return new Set(connection.all<{ id: string }>(`SELECT id FROM ${TABLES[kind]}`).map(({ id }) => id));
}

export const readFacilityDistricts = (connection: Connection): Map<string, string> =>
  new Map(
    connection
      .all<{ id: string; district: string }>('SELECT id, district FROM facility')
      .map(({ id, district }) => [id, district]),
  );

type SealDates = Awaited<ReturnType<Store['readSealDates']>>;

export function readSealDates(connection: Connection): SealDates {
  const dates: SealDates = new Map();
  const lines = connection.all<{
    segmentId: string;
    id: string;
    installedFrom: string;
    installedTo: string;
    removedOn: string | null;
  }>(
    `SELECT segment.id AS segmentId, seal.id, seal.installedFrom, seal.installedTo, seal.removedOn
     FROM seal JOIN segment ON segment.row = seal.segmentRow ORDER BY segmentRow, installedFrom, installedTo, seal.id`,
  );
  for (const { segmentId, ...seal } of lines) {
    const known = dates.get(segmentId);
    if (known) known.push(seal);
    else dates.set(segmentId, [seal]);
  }
  return dates;
}

/** Box of all segments, a little outwards: the tree keeps 32-bit numbers. */
export function networkBounds(connection: Connection): BoxDegrees | null {
  const box = connection.get<Record<'west' | 'south' | 'east' | 'north', number | null>>(
    'SELECT min(west) AS west, min(south) AS south, max(east) AS east, max(north) AS north FROM segmentBox',
  );
  if (!box || box.west === null || box.south === null || box.east === null || box.north === null) return null;
  return [box.west, box.south, box.east, box.north];
}
