import { ClimateDaySchema, ClimateStationSchema } from '../schemas/climate.ts';
import { FacilitySchema } from '../schemas/facility.ts';
import { InspectionSchema } from '../schemas/inspection.ts';
import { SealSchema } from '../schemas/seal.ts';
import { SegmentSchema } from '../schemas/segment.ts';
import { UnitCostSchema } from '../schemas/unit-cost.ts';
import { DAMAGE_KINDS, type RecordKind } from '../schemas/words.ts';
import { type FieldSpec, fieldSpecs } from './field-spec.ts';
import * as words from './trade-words.ts';

const SEGMENT_NAMES = ['segment', 'segment no', 'segment number', 'joint id', 'joint'];
const FACILITY_NAMES = ['facility', 'facility no', 'facility code', 'route id', 'section id'];

const facilities = fieldSpecs(FacilitySchema, {
  id: { names: FACILITY_NAMES.concat('facility id'), required: true },
  kind: { names: ['facility kind', 'type', 'facility type'], required: true, words: words.FACILITY_KIND_WORDS },
  name: { names: ['facility name', 'description'] },
  route: { names: ['route name', 'road'] },
  district: { names: ['region', 'division', 'area'], required: true },
  lanes: { names: ['lane count', 'number of lanes'] },
  widthM: { names: ['pavement width'], dimension: 'distance' },
  aadt: { names: ['annual average daily traffic', 'traffic'] },
  truckShare: { names: ['trucks'], dimension: 'share' },
  departuresPerYear: { names: ['departures', 'annual departures'] },
  yearBuilt: { names: ['built', 'construction year', 'year of construction'] },
  recordsFrom: { names: ['records since', 'inspected since'] },
});

const segments = fieldSpecs(SegmentSchema, {
  id: { names: SEGMENT_NAMES.concat('segment id'), required: true },
  facilityId: { names: FACILITY_NAMES, required: true },
  district: { names: ['region', 'division'] },
  jointType: { names: ['type of joint', 'type'], required: true, words: words.JOINT_TYPE_WORDS },
  direction: { names: ['direction of traffic', 'dir', 'travel direction', 'bound'], words: words.DIRECTION_WORDS },
  firstLane: { names: ['lane', 'lane no', 'lane number', 'from lane', 'begin lane'] },
  lastLane: { names: ['to lane', 'end lane'] },
  beginM: { names: ['begin measure', 'from measure', 'start'], dimension: 'distance' },
  endM: { names: ['end measure', 'to measure'], dimension: 'distance' },
  slabLengthM: { names: ['joint spacing', 'spacing'], dimension: 'distance' },
  slabThicknessMm: { names: ['thickness'], dimension: 'size' },
  baseType: { names: ['base'], words: words.BASE_TYPE_WORDS },
  coarseAggregate: { names: ['aggregate'], words: words.AGGREGATE_WORDS },
  widthMm: { names: ['joint width'], dimension: 'size' },
  widthAtC: { names: ['width temperature', 'temperature at width'], dimension: 'temperature' },
  reservoirDepthMm: { names: ['depth', 'joint depth'], dimension: 'size' },
  jointCount: { names: ['joints', 'number of joints'] },
  sealedLengthM: { names: ['seal length', 'joint length'], dimension: 'distance' },
  fuelExposure: { names: ['fuel', 'fuel spills'] },
  consequenceWeight: { names: ['consequence', 'weight'] },
  unsealedByPolicy: { names: ['unsealed'] },
  leftAloneReason: { names: ['left alone'] },
  geometry: { names: ['wkt', 'geom', 'the geom', 'shape', 'geometry wkt'], required: true },
});

const seals = fieldSpecs(SealSchema, {
  id: { names: ['seal id', 'seal'] },
  segmentId: { names: SEGMENT_NAMES, required: true },
  sealantClass: {
    names: ['sealant', 'class', 'sealant type', 'material'],
    required: true,
    words: words.SEALANT_CLASS_WORDS,
  },
  specification: { names: ['spec'] },
  installed: {
    names: ['installed on', 'install date', 'installation date', 'date installed', 'sealed on', 'installed year'],
  },
  installedFrom: { names: ['installed not before'] },
  installedTo: { names: ['installed not after'] },
  installedAtC: { names: ['installation temperature', 'install temperature'], dimension: 'temperature' },
  widthMm: { names: ['joint width'], dimension: 'size' },
  recessMm: { dimension: 'size' },
  beadDepthMm: { names: ['bead'], dimension: 'size' },
  backerRodDiameterMm: { names: ['rod', 'backer rod', 'rod diameter'], dimension: 'size' },
  preparation: { names: ['prep', 'joint preparation'], words: words.PREPARATION_WORDS },
  lot: { names: ['crew', 'batch'] },
  removedOn: { names: ['removed', 'removal date', 'date removed'] },
  removalReason: { names: ['reason removed', 'why removed'], words: words.REMOVAL_REASON_WORDS },
});

const inspections = fieldSpecs(InspectionSchema, {
  id: { names: ['inspection id', 'inspection'] },
  segmentId: { names: SEGMENT_NAMES, required: true },
  inspectedOn: { names: ['inspected', 'inspection date', 'date inspected', 'date'], required: true },
  method: { names: ['inspection method', 'rating method'], words: words.INSPECTION_METHOD_WORDS },
  inspector: { names: ['inspected by', 'surveyor'] },
  damagedShare: { names: ['damage', 'total damaged', 'damaged length'], required: true, dimension: 'share' },
  ...Object.fromEntries(DAMAGE_KINDS.map((kind) => [kind, { dimension: 'share' as const, limitsOf: 'damagedShare' }])),
  severity: { names: ['severity level'], words: words.SEVERITY_WORDS },
  notes: { names: ['note', 'comments', 'comment', 'remarks'] },
  photographs: { names: ['photos', 'photo', 'pictures', 'images'] },
});

const STATION_NAMES = ['station', 'station no', 'station number', 'station code'];
const position = {
  lon: { names: ['longitude', 'long', 'x'], required: true },
  lat: { names: ['latitude', 'y'], required: true },
  elevationM: { names: ['altitude', 'height'], dimension: 'distance' as const },
};
const stations = fieldSpecs(ClimateStationSchema, {
  id: { names: STATION_NAMES.concat('station id'), required: true },
  name: { names: ['station name'] },
  ...position,
});

const climate = [
  ...fieldSpecs(ClimateDaySchema, {
    stationId: { names: STATION_NAMES, required: true },
    day: { names: ['date'], required: true },
    maxC: {
      names: ['tmax', 'max temperature', 'temperature max', 'maximum temperature'],
      dimension: 'daily-temperature',
    },
    minC: {
      names: ['tmin', 'min temperature', 'temperature min', 'minimum temperature'],
      dimension: 'daily-temperature',
    },
    precipitationMm: { names: ['prcp', 'precip', 'rain'], dimension: 'precipitation' },
  }),
  ...fieldSpecs(ClimateStationSchema, {
    name: { names: ['station name'] },
    lon: { names: position.lon.names },
    lat: { names: position.lat.names },
    elevationM: position.elevationM,
  }),
];

const unitCosts = fieldSpecs(UnitCostSchema, {
  sealantClass: {
    names: ['sealant', 'class', 'sealant type', 'material'],
    required: true,
    words: words.SEALANT_CLASS_WORDS,
  },
  jointType: { names: ['type of joint', 'joint'], words: words.PRICED_JOINT_WORDS },
  costPerM: { names: ['cost', 'unit cost', 'price', 'unit price', 'cost per'], required: true, dimension: 'price' },
  pricedOn: { names: ['price date', 'date'] },
  priceSource: { names: ['source', 'cost source'] },
});

/** The fields of every kind of record that a file may hold, with the names columns may have. */
export const RECORD_FIELDS: Record<RecordKind, readonly FieldSpec[]> = {
  facilities,
  segments,
  seals,
  inspections,
  stations,
  climate,
  'unit-costs': unitCosts,
};
