import type { Facility } from '../../../../server/schemas/facility.ts';
import type { Inspection } from '../../../../server/schemas/inspection.ts';
import type { Seal } from '../../../../server/schemas/seal.ts';
import type { Segment } from '../../../../server/schemas/segment.ts';
import type { UnitCost } from '../../../../server/schemas/unit-cost.ts';
import type { RecordBatch, Store, WriteCounts } from '../../../../server/store/store.ts';

export const facility = (id: string, change: Partial<Facility> = {}): Facility => ({
  id,
  kind: 'highway',
  name: `Road ${id}`,
  route: 'R1',
  district: 'North',
  lanes: 2,
  widthM: null,
  aadt: 12_000.5,
  truckShare: 0.12,
  departuresPerYear: null,
  yearBuilt: 1994,
  recordsFrom: '2001-01-01',
  sourceFile: 'facilities.csv',
  sourceRow: 2,
  ...change,
});

export const segment = (id: string, change: Partial<Segment> = {}): Segment => ({
  id,
  facilityId: 'A',
  district: 'North',
  jointType: 'longitudinal',
  direction: 'northbound',
  firstLane: 1,
  lastLane: 2,
  beginM: 0,
  endM: 500,
  slabLengthM: 4.6,
  slabThicknessMm: 250,
  baseType: 'granular',
  coarseAggregate: 'granite',
  widthMm: 12.7,
  widthAtC: null,
  reservoirDepthMm: 35,
  jointCount: null,
  sealedLengthM: 500,
  fuelExposure: false,
  consequenceWeight: 1.5,
  unsealedByPolicy: false,
  leftAloneReason: null,
  geometry: {
    type: 'LineString',
    coordinates: [
      [-97.1234567, 35.1],
      [-97.118, 35.1005],
    ],
  },
  sourceFile: 'segments.geojson',
  sourceRow: 1,
  ...change,
});

export const seal = (id: string, change: Partial<Seal> = {}): Seal => ({
  id,
  segmentId: 'S1',
  sealantClass: 'silicone-non-sag',
  specification: null,
  installedFrom: '2015-06-01',
  installedTo: '2015-06-01',
  installedAtC: 18.5,
  widthMm: 13,
  recessMm: 10,
  beadDepthMm: 6,
  backerRodDiameterMm: 16,
  preparation: 'sawn-and-blasted',
  lot: null,
  removedOn: null,
  removalReason: null,
  sourceFile: 'seals.csv',
  sourceRow: 2,
  ...change,
});

export const inspection = (id: string, change: Partial<Inspection> = {}): Inspection => ({
  id,
  segmentId: 'S1',
  inspectedOn: '2020-05-04',
  method: 'joint-length',
  inspector: 'crew 2',
  damagedShare: 0.04,
  damageShares: { 'adhesive-failure': 0.03, weeds: 0.01 },
  severity: 'low',
  notes: null,
  photographs: ['p1.jpg'],
  sourceFile: 'inspections.csv',
  sourceRow: 2,
  ...change,
});

/** One segment with a record of each kind. */
export const ONE_OF_EACH: RecordBatch[] = [
  { kind: 'facilities', rows: [facility('A')] },
  { kind: 'segments', rows: [segment('S1')] },
  { kind: 'seals', rows: [seal('k2'), seal('k1', { installedFrom: '2004-01-01', installedTo: '2004-12-31' })] },
  { kind: 'inspections', rows: [inspection('i1')] },
  { kind: 'stations', rows: [{ id: 'W1', name: 'Field', lon: -97, lat: 35, elevationM: 300 }] },
  {
    kind: 'climate',
    rows: [
      { stationId: 'W1', day: '2000-02-29', maxC: 12.8, minC: -1.1, precipitationMm: 0 },
      { stationId: 'W1', day: '1969-12-31', maxC: null, minC: null, precipitationMm: 3.4 },
    ],
  },
  {
    kind: 'unit-costs',
    rows: [
      { sealantClass: 'unknown', jointType: 'any', costPerM: 9.5, pricedOn: null, priceSource: null },
    ] satisfies UnitCost[],
  },
];

/** Writes batches in one load and commits it. */
export async function loadAll(store: Store, batches: readonly RecordBatch[]): Promise<WriteCounts[]> {
  const load = await store.beginLoad();
  const counts = batches.map((batch) => load.write(batch));
  load.commit();
  return counts;
}
