import { dayNumber } from '../../../analytics/survival/observation-dates.ts';
import type { ClimateDay, ClimateStation } from '../../schemas/climate.ts';
import type { Facility } from '../../schemas/facility.ts';
import type { Inspection } from '../../schemas/inspection.ts';
import type { Seal } from '../../schemas/seal.ts';
import type { LineGeometry, Segment } from '../../schemas/segment.ts';
import type { UnitCost } from '../../schemas/unit-cost.ts';
import { DAMAGE_KINDS } from '../../schemas/words.ts';
import type { SqlValue } from './connection.ts';

import { boxOfBlob, encodeGeometry } from './geometry-blob.ts';

/** One column of a record: how a row's value is bound, and through which SQL (a look-up of another record's row). */
export interface Column<R> {
  name: string;
  value: (row: R) => SqlValue;
  sql: string;
}

/** How rows of one kind are kept. The key columns say which stored row a new one replaces. */
export interface RecordTable<R> {
  table: string;
  key: Column<R>[];
  values: Column<R>[];
  /** Kept, but a change in them alone is no change of the record. */
  source: Column<R>[];
  /** Names the row in an error. */ name: (row: R) => string;
}

type PlainValue = string | number | boolean | null | undefined;
type PlainKey<R> = { [K in keyof R]: R[K] extends PlainValue ? K : never }[keyof R] & string;

const toSql = (value: PlainValue): SqlValue =>
  value === undefined ? null : typeof value === 'boolean' ? Number(value) : value;

const plain = <R>(...names: PlainKey<R>[]): Column<R>[] =>
  names.map((name) => ({ name, sql: '?', value: (row) => toSql(row[name] as PlainValue) }));

const source = <R extends { sourceFile?: string | null; sourceRow?: number | null }>(): Column<R>[] => [
  { name: 'sourceFile', sql: '?', value: (row) => row.sourceFile ?? null },
  { name: 'sourceRow', sql: '?', value: (row) => row.sourceRow ?? null },
];

const rowOf = <R>(name: string, table: string, value: (row: R) => string): Column<R> => ({
  name,
  sql: `(SELECT row FROM ${table} WHERE id = ?)`,
  value,
});

export const facilityTable: RecordTable<Facility> = {
  table: 'facility',
  key: plain('id'),
  values: plain(
    'kind',
    'name',
    'route',
    'district',
    'lanes',
    'widthM',
    'aadt',
    'truckShare',
    'departuresPerYear',
    'yearBuilt',
    'recordsFrom',
  ),
  source: source(),
  name: (row) => `facility ${row.id}`,
};

/** Three columns come from the geometry; it is encoded once a row. */
function geometryColumns(): Column<Segment>[] {
  let last: { geometry: LineGeometry; blob: Buffer } | null = null;
  const blobOf = ({ geometry }: Segment): Buffer => {
    if (last?.geometry !== geometry) last = { geometry, blob: encodeGeometry(geometry) };
    return last.blob;
  };
  const middle = (row: Segment, low: 0 | 1): number => {
    const box = boxOfBlob(blobOf(row));
    return (box[low] + box[low + 2]) / 2;
  };
  return [
    { name: 'geometry', sql: '?', value: blobOf },
    { name: 'lon', sql: '?', value: (row) => middle(row, 0) },
    { name: 'lat', sql: '?', value: (row) => middle(row, 1) },
  ];
}

export const segmentTable: RecordTable<Segment> = {
  table: 'segment',
  key: plain('id'),
  values: [
    ...plain<Segment>(
      'facilityId',
      'district',
      'jointType',
      'direction',
      'firstLane',
      'lastLane',
      'beginM',
      'endM',
      'slabLengthM',
      'slabThicknessMm',
      'baseType',
      'coarseAggregate',
      'widthMm',
      'widthAtC',
      'reservoirDepthMm',
      'jointCount',
      'sealedLengthM',
      'fuelExposure',
      'consequenceWeight',
      'unsealedByPolicy',
      'leftAloneReason',
    ),
    ...geometryColumns(),
  ],
  source: source(),
  name: (row) => `segment ${row.id} of facility ${row.facilityId}`,
};

export const sealTable: RecordTable<Seal> = {
  table: 'seal',
  key: plain('id'),
  values: [
    rowOf('segmentRow', 'segment', (row) => row.segmentId),
    ...plain<Seal>(
      'sealantClass',
      'specification',
      'installedFrom',
      'installedTo',
      'installedAtC',
      'widthMm',
      'recessMm',
      'beadDepthMm',
      'backerRodDiameterMm',
      'preparation',
      'lot',
      'removedOn',
      'removalReason',
    ),
  ],
  source: source(),
  name: (row) => `seal ${row.id} of segment ${row.segmentId}`,
};

/** In the order of the word list, so that equal shares are equal text. */
const damageText = ({ damageShares }: Inspection): string | null => {
  const given = DAMAGE_KINDS.filter((kind) => damageShares[kind] !== undefined);
  return given.length === 0 ? null : JSON.stringify(Object.fromEntries(given.map((k) => [k, damageShares[k]])));
};

export const inspectionTable: RecordTable<Inspection> = {
  table: 'inspection',
  key: plain('id'),
  values: [
    rowOf('segmentRow', 'segment', (row) => row.segmentId),
    ...plain<Inspection>('inspectedOn', 'method', 'inspector', 'damagedShare', 'severity', 'notes'),
    { name: 'damageShares', sql: '?', value: damageText },
    {
      name: 'photographs',
      sql: '?',
      value: ({ photographs }) => (photographs.length === 0 ? null : JSON.stringify(photographs)),
    },
  ],
  source: source(),
  name: (row) => `inspection ${row.id} of segment ${row.segmentId}`,
};

export const stationTable: RecordTable<ClimateStation> = {
  table: 'station',
  key: plain('id'),
  values: plain('name', 'lon', 'lat', 'elevationM'),
  source: source(),
  name: (row) => `station ${row.id}`,
};

export const climateTable: RecordTable<ClimateDay> = {
  table: 'climateDay',
  key: [
    rowOf('stationRow', 'station', (row) => row.stationId),
    { name: 'dayNumber', sql: '?', value: (row) => dayNumber(row.day) },
  ],
  values: plain('maxC', 'minC', 'precipitationMm'),
  source: [],
  name: (row) => `climate of ${row.day} at station ${row.stationId}`,
};

export const unitCostTable: RecordTable<UnitCost> = {
  table: 'unitCost',
  key: plain('sealantClass', 'jointType'),
  values: plain('costPerM', 'pricedOn', 'priceSource'),
  source: source(),
  name: (row) => `unit cost of ${row.sealantClass}, ${row.jointType}`,
};
