import type { ModelHistory } from '../store.ts';

/* Lines of the histories that the model reads: only the columns that it needs. */

type Text = string | null;
type Num = number | null;
type ModelSegment = ModelHistory['segment'];
type ModelSeal = ModelHistory['seals'][number];
type ModelInspection = ModelHistory['inspections'][number];

export const MODEL_SEGMENT_COLUMNS = `row, id, facilityId, district, jointType, slabLengthM, baseType, coarseAggregate,
  widthMm, sealedLengthM, fuelExposure, consequenceWeight, unsealedByPolicy, leftAloneReason, lon, lat`;

export type ModelSegmentLine = [
  row: number,
  id: string,
  facilityId: string,
  district: string,
  jointType: ModelSegment['jointType'],
  slabLengthM: Num,
  baseType: ModelSegment['baseType'],
  coarseAggregate: ModelSegment['coarseAggregate'],
  widthMm: Num,
  sealedLengthM: number,
  fuelExposure: number,
  consequenceWeight: number,
  unsealedByPolicy: number,
  leftAloneReason: Text,
  lon: number,
  lat: number,
];

export const toModelSegment = (l: ModelSegmentLine): ModelSegment => ({
  id: l[1],
  facilityId: l[2],
  district: l[3],
  jointType: l[4],
  slabLengthM: l[5],
  baseType: l[6],
  coarseAggregate: l[7],
  widthMm: l[8],
  sealedLengthM: l[9],
  fuelExposure: l[10] === 1,
  consequenceWeight: l[11],
  unsealedByPolicy: l[12] === 1,
  leftAloneReason: l[13],
  lon: l[14],
  lat: l[15],
});

export const MODEL_SEAL_COLUMNS = `segmentRow, seal.id, sealantClass, installedFrom, installedTo, seal.widthMm,
  preparation, lot, removedOn, removalReason`;

export type ModelSealLine = [
  segmentRow: number,
  id: string,
  sealantClass: ModelSeal['sealantClass'],
  installedFrom: string,
  installedTo: string,
  widthMm: Num,
  preparation: ModelSeal['preparation'],
  lot: Text,
  removedOn: Text,
  removalReason: ModelSeal['removalReason'],
];

export const toModelSeal = (l: ModelSealLine): ModelSeal => ({
  id: l[1],
  sealantClass: l[2],
  installedFrom: l[3],
  installedTo: l[4],
  widthMm: l[5],
  preparation: l[6],
  lot: l[7],
  removedOn: l[8],
  removalReason: l[9],
});

export const MODEL_INSPECTION_COLUMNS = 'segmentRow, inspectedOn, method, inspector, damagedShare';

export type ModelInspectionLine = [
  segmentRow: number,
  inspectedOn: string,
  method: ModelInspection['method'],
  inspector: Text,
  damagedShare: number,
];

export const toModelInspection = (l: ModelInspectionLine): ModelInspection => ({
  inspectedOn: l[1],
  method: l[2],
  inspector: l[3],
  damagedShare: l[4],
});
