import type { Unit } from '../../server/schemas/load.ts';
import type { RecordKind } from '../../server/schemas/words.ts';
import { DAMAGE_KIND_LABELS } from './words.ts';

/** One of our fields, as a column of a file may give it. */
export interface FileField {
  readonly field: string;
  readonly label: string;
  readonly required: boolean;
  /** What it holds and what is allowed, in a few words. */ readonly about: string;
}

const needed = (field: string, label: string, about: string): FileField => ({ field, label, required: true, about });
const optional = (field: string, label: string, about: string): FileField => ({ field, label, required: false, about });

const FIELDS: Readonly<Record<RecordKind, readonly FileField[]>> = {
  facilities: [
    needed('id', 'Facility id', 'Your own key, kept as it is'),
    needed('kind', 'Kind', 'highway, bridge, runway, taxiway or apron'),
    optional('name', 'Name', 'As people call it'),
    optional('route', 'Route', 'Its route number or designation'),
    needed('district', 'District', 'Who looks after it'),
    optional('lanes', 'Lanes', 'Number of lanes'),
    optional('widthM', 'Pavement width', 'Of a runway or apron; m or ft'),
    optional('aadt', 'Daily traffic', 'Vehicles a day over all lanes, yearly average'),
    optional('truckShare', 'Truck share', 'Share of trucks: 0.18 or 18 %'),
    optional('departuresPerYear', 'Departures', 'Aircraft departures a year'),
    optional('yearBuilt', 'Year built', 'Year of the pavement'),
    optional('recordsFrom', 'Records from', 'First day on which failures were written down here'),
  ],
  segments: [
    needed('id', 'Segment id', 'Your own key, kept as it is'),
    needed('facilityId', 'Facility id', 'A facility that is stored or in the same load'),
    optional('district', 'District', 'If other than the facility’s'),
    needed('jointType', 'Joint type', 'transverse-contraction, longitudinal, …'),
    optional(
      'direction',
      'Direction',
      'northbound, eastbound, increasing, …; both where the joint crosses or parts the two',
    ),
    optional(
      'firstLane',
      'First lane',
      'Number of the lane that closes for work on it, as you number them; the first of several',
    ),
    optional('lastLane', 'Last lane', 'The last of several; left out: the first lane alone'),
    optional('beginM', 'Begin measure', 'Along the route; m, km, ft or mi'),
    optional('endM', 'End measure', 'Along the route; m, km, ft or mi'),
    optional('slabLengthM', 'Slab length', 'Distance between working joints; m or ft'),
    optional('slabThicknessMm', 'Slab thickness', 'mm or in'),
    optional('baseType', 'Base', 'granular or stabilised'),
    optional('coarseAggregate', 'Coarse aggregate', 'quartz, gravel, granite, limestone, …'),
    optional('widthMm', 'Joint width', 'Gap between the faces, 3 to 100 mm; mm or in'),
    optional('widthAtC', 'Temperature at width', 'When the width was measured; °C or °F'),
    optional('reservoirDepthMm', 'Reservoir depth', 'Surface to the bottom of the slot; mm or in'),
    optional('jointCount', 'Number of joints', 'Joints in the segment'),
    optional(
      'sealedLengthM',
      'Sealed length',
      'All joints together; m or ft. Longitudinal joints alone may leave it out: then the length of the line',
    ),
    optional('fuelExposure', 'Fuel exposure', 'yes where fuel is spilt'),
    optional('consequenceWeight', 'Consequence weight', '1 is usual; 2 where an open joint costs twice as much'),
    optional('unsealedByPolicy', 'Unsealed by policy', 'yes where the joint is meant to stay open'),
    optional('leftAloneReason', 'Left alone, reason', 'Why nothing is done on purpose'),
    needed('geometry', 'Geometry', 'A line, longitude before latitude (WGS 84)'),
  ],
  seals: [
    optional('id', 'Seal id', 'Your own key; else segment and installation'),
    needed('segmentId', 'Segment id', 'A segment that is stored or in the same load'),
    needed('sealantClass', 'Sealant class', 'silicone-self-levelling, hot-applied-type-2, …'),
    optional('specification', 'Specification', 'For example ASTM D5893'),
    optional('installed', 'Installed', 'A day, a month or a year: 2014-06-03, 2014-06, 2014, 2012/2014'),
    optional('installedFrom', 'Installed, not before', 'First possible day, where only a range is known'),
    optional('installedTo', 'Installed, not after', 'Last possible day'),
    optional('installedAtC', 'Temperature at installation', '°C or °F'),
    optional('widthMm', 'Joint width', 'When sealed; mm or in'),
    optional('recessMm', 'Recess', 'mm or in'),
    optional('beadDepthMm', 'Bead depth', 'mm or in'),
    optional('backerRodDiameterMm', 'Backer rod diameter', 'mm or in'),
    optional('preparation', 'Preparation', 'sawn-and-blasted, blasted, sawn or air-blown'),
    optional('lot', 'Crew or lot', 'Who or what batch'),
    optional('removedOn', 'Removed on', 'Empty while it is in place'),
    optional('removalReason', 'Removal reason', 'failed, preventive, pavement-work or unknown'),
  ],
  inspections: [
    optional('id', 'Inspection id', 'Your own key; else segment, day and method'),
    needed('segmentId', 'Segment id', 'A segment that is stored or in the same load'),
    needed('inspectedOn', 'Inspected on', 'A day: 2024-05-03'),
    optional('method', 'Method', 'joint-length, sample-unit or agency; ratings by two methods are never merged'),
    optional('inspector', 'Inspector', 'A name or initials'),
    needed('damagedShare', 'Damaged share', 'Share of length damaged in all: 0.12 or 12 %'),
    ...Object.entries(DAMAGE_KIND_LABELS).map(([kind, label]) => optional(kind, label, 'Its share of length')),
    optional('severity', 'Severity', 'low, moderate or high'),
    optional('notes', 'Notes', 'Free text'),
    optional('photographs', 'Photographs', 'Names or addresses'),
  ],
  stations: [
    needed('id', 'Station id', 'As in the daily record'),
    optional('name', 'Name', 'Of the station'),
    needed('lon', 'Longitude', 'Degrees, WGS 84'),
    needed('lat', 'Latitude', 'Degrees, WGS 84'),
    optional('elevationM', 'Elevation', 'm or ft'),
  ],
  climate: [
    needed('stationId', 'Station id', 'Column STATION of published daily summaries'),
    needed('day', 'Day', 'Column DATE'),
    optional('maxC', 'Highest temperature', 'Column TMAX; °C, °F or tenths of °C'),
    optional('minC', 'Lowest temperature', 'Column TMIN; °C, °F or tenths of °C'),
    optional('precipitationMm', 'Precipitation', 'Column PRCP; mm, in or tenths of mm'),
    optional('name', 'Station name', 'Column NAME'),
    optional('lon', 'Longitude', 'Column LONGITUDE, where the station is not yet stored'),
    optional('lat', 'Latitude', 'Column LATITUDE'),
    optional('elevationM', 'Elevation', 'Column ELEVATION'),
  ],
  'unit-costs': [
    needed('sealantClass', 'Sealant class', 'silicone-self-levelling, hot-applied-type-2, …'),
    optional('jointType', 'Joint type', 'A joint type, or any'),
    needed('costPerM', 'Unit cost', 'To take out and reseal, in your currency; per m or per ft'),
    optional('pricedOn', 'Priced on', 'Day of the price'),
    optional('priceSource', 'Source of the price', 'A tender, a contract, an estimate'),
  ],
};

/** The fields that a file of this kind may give; none while the kind is not known. */
export const fieldsOf = (kind: RecordKind | null): readonly FileField[] => (kind === null ? [] : FIELDS[kind]);

const UNIT_LABELS: Readonly<Record<Unit, string>> = {
  mm: 'mm',
  cm: 'cm',
  m: 'm',
  km: 'km',
  in: 'inches',
  ft: 'feet',
  mi: 'miles',
  C: '°C',
  F: '°F',
  share: 'share (0 to 1)',
  percent: 'per cent',
  'tenths-C': 'tenths of °C',
  'tenths-mm': 'tenths of mm',
};

/** A unit as the reader knows it. A price in metres is a price per metre. */
export const unitLabel = (unit: Unit, field: string): string =>
  field === 'costPerM' ? `per ${unit}` : UNIT_LABELS[unit];
