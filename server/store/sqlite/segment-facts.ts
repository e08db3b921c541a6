import type { SegmentFacts } from '../store.ts';
import type { Connection } from './connection.ts';

type FactLine = Omit<SegmentFacts, 'fuelExposure' | 'resealable'> & { fuelExposure: number; resealable: number };

export function readSegmentFacts(connection: Connection, ids: readonly string[]): Map<string, SegmentFacts> {
  const lines = connection.all<FactLine>(
    `SELECT s.id, s.facilityId, s.district, s.jointType, s.fuelExposure, t.sealantClass,
       s.unsealedByPolicy = 0 AND s.leftAloneReason IS NULL AND t.sealId IS NOT NULL AS resealable
     FROM segment s JOIN state t ON t.segmentRow = s.row WHERE s.id IN (SELECT value FROM json_each(?))`,
    JSON.stringify(ids),
  );
  return new Map(
    lines.map((line) => [
      line.id,
      { ...line, fuelExposure: line.fuelExposure === 1, resealable: line.resealable === 1 },
    ]),
  );
}
