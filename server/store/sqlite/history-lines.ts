import type { Inspection } from '../../schemas/inspection.ts';
import type { Seal } from '../../schemas/seal.ts';
import type { SegmentHistory } from '../store.ts';

/* Lines of whole histories, as cards and exports show them; those of the model: model-lines.ts. */

type Text = string | null;
type Num = number | null;

export const SEGMENT_COLUMNS = `row, id, facilityId, district, jointType, beginM, endM, slabLengthM, slabThicknessMm,
  baseType, coarseAggregate, widthMm, widthAtC, reservoirDepthMm, jointCount, sealedLengthM, fuelExposure,
  consequenceWeight, unsealedByPolicy, leftAloneReason, lon, lat, sourceFile, sourceRow, direction, firstLane, lastLane`;

type HistorySegment = SegmentHistory['segment'];

export type SegmentLine = [
  row: number,
  id: string,
  facilityId: string,
  district: string,
  jointType: HistorySegment['jointType'],
  beginM: Num,
  endM: Num,
  slabLengthM: Num,
  slabThicknessMm: Num,
  baseType: HistorySegment['baseType'],
  coarseAggregate: HistorySegment['coarseAggregate'],
  widthMm: Num,
  widthAtC: Num,
  reservoirDepthMm: Num,
  jointCount: Num,
  sealedLengthM: number,
  fuelExposure: number,
  consequenceWeight: number,
  unsealedByPolicy: number,
  leftAloneReason: Text,
  lon: number,
  lat: number,
  sourceFile: Text,
  sourceRow: Num,
  direction: HistorySegment['direction'],
  firstLane: Num,
  lastLane: Num,
];

export const toSegment = (l: SegmentLine): HistorySegment => ({
  id: l[1],
  facilityId: l[2],
  district: l[3],
  jointType: l[4],
  direction: l[24],
  firstLane: l[25],
  lastLane: l[26],
  beginM: l[5],
  endM: l[6],
  slabLengthM: l[7],
  slabThicknessMm: l[8],
  baseType: l[9],
  coarseAggregate: l[10],
  widthMm: l[11],
  widthAtC: l[12],
  reservoirDepthMm: l[13],
  jointCount: l[14],
  sealedLengthM: l[15],
  fuelExposure: l[16] === 1,
  consequenceWeight: l[17],
  unsealedByPolicy: l[18] === 1,
  leftAloneReason: l[19],
  lon: l[20],
  lat: l[21],
  sourceFile: l[22],
  sourceRow: l[23],
});

export const SEAL_COLUMNS = `segmentRow, id, sealantClass, specification, installedFrom, installedTo, installedAtC,
  widthMm, recessMm, beadDepthMm, backerRodDiameterMm, preparation, lot, removedOn, removalReason, sourceFile,
  sourceRow`;

export type SealLine = [
  segmentRow: number,
  id: string,
  sealantClass: Seal['sealantClass'],
  specification: Text,
  installedFrom: string,
  installedTo: string,
  installedAtC: Num,
  widthMm: Num,
  recessMm: Num,
  beadDepthMm: Num,
  backerRodDiameterMm: Num,
  preparation: Seal['preparation'],
  lot: Text,
  removedOn: Text,
  removalReason: Seal['removalReason'],
  sourceFile: Text,
  sourceRow: Num,
];

export const toSeal = (l: SealLine, segmentId: string): Seal => ({
  id: l[1],
  segmentId,
  sealantClass: l[2],
  specification: l[3],
  installedFrom: l[4],
  installedTo: l[5],
  installedAtC: l[6],
  widthMm: l[7],
  recessMm: l[8],
  beadDepthMm: l[9],
  backerRodDiameterMm: l[10],
  preparation: l[11],
  lot: l[12],
  removedOn: l[13],
  removalReason: l[14],
  sourceFile: l[15],
  sourceRow: l[16],
});

export const INSPECTION_COLUMNS = `segmentRow, id, inspectedOn, method, inspector, damagedShare, damageShares, severity,
  notes, photographs, sourceFile, sourceRow`;

export type InspectionLine = [
  segmentRow: number,
  id: string,
  inspectedOn: string,
  method: Inspection['method'],
  inspector: Text,
  damagedShare: number,
  damageShares: Text,
  severity: Inspection['severity'],
  notes: Text,
  photographs: Text,
  sourceFile: Text,
  sourceRow: Num,
];

export const toInspection = (l: InspectionLine, segmentId: string): Inspection => ({
  id: l[1],
  segmentId,
  inspectedOn: l[2],
  method: l[3],
  inspector: l[4],
  damagedShare: l[5],
  damageShares: l[6] === null ? {} : (JSON.parse(l[6]) as Inspection['damageShares']),
  severity: l[7],
  notes: l[8],
  photographs: l[9] === null ? [] : (JSON.parse(l[9]) as string[]),
  sourceFile: l[10],
  sourceRow: l[11],
});
