import type { SegmentRow } from '../../schemas/forecast.ts';
import type { LineGeometry } from '../../schemas/segment.ts';
import { decodeGeometry } from './geometry-blob.ts';

/** Columns of a joints table line over `s`, `t`, `f`; `segmentRow` is the tie-break of every order. */
export const ROW_COLUMNS = `s.row AS segmentRow, s.id, s.facilityId, f.name AS facilityName, f.kind AS facilityKind,
  s.district, s.jointType, s.direction, s.firstLane, s.lastLane, s.beginM, s.endM, s.widthMm, s.sealedLengthM, t.sealantClass, t.installedFrom,
  t.installedTo, t.ageYears, t.lastInspectedOn, t.damagedShare, t.failedNowProbability, t.medianFailureYear,
  t.lowerFailureYear, t.upperFailureYear, t.dueYear, s.unsealedByPolicy`;

export type StoredRow = Omit<SegmentRow, 'unsealedByPolicy'> & {
  segmentRow: number;
  unsealedByPolicy: number;
  geometry?: Buffer;
};

export function toSegmentRow(stored: StoredRow): SegmentRow & { geometry?: LineGeometry } {
  const { segmentRow: _, geometry, ...row } = stored;
  const line = { ...row, unsealedByPolicy: row.unsealedByPolicy === 1 };
  return geometry ? { ...line, geometry: decodeGeometry(geometry) } : line;
}
