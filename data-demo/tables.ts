import { join } from 'node:path';
import type { Facility } from '../server/schemas/facility.ts';
import type { Segment } from '../server/schemas/segment.ts';
import { DAMAGE_KINDS } from '../server/schemas/words.ts';
import { isoOf } from './days.ts';
import type { Reading } from './readings.ts';
import type { SealRecord } from './seal-records.ts';
import type { Station } from './stations.ts';
import type { WeatherDay } from './weather.ts';
import { type Cell, CsvFile, GeoJsonFile } from './writers.ts';

export const FACILITY_COLUMNS = [
  'id',
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
] as const satisfies readonly (keyof Facility)[];

export const SEAL_COLUMNS = [
  'id',
  'segmentId',
  'sealantClass',
  'specification',
  'installed',
  'installedAtC',
  'widthMm',
  'recessMm',
  'beadDepthMm',
  'backerRodDiameterMm',
  'preparation',
  'lot',
  'removedOn',
  'removalReason',
] as const;

export const INSPECTION_COLUMNS = [
  'segmentId',
  'inspectedOn',
  'method',
  'inspector',
  'damagedShare',
  ...DAMAGE_KINDS,
  'severity',
  'notes',
] as const;

export const STATION_COLUMNS = ['STATION', 'NAME', 'LATITUDE', 'LONGITUDE', 'ELEVATION'] as const;
export const CLIMATE_COLUMNS = ['STATION', 'DATE', 'TMAX', 'TMIN', 'PRCP'] as const;
export const UNIT_COST_COLUMNS = ['sealantClass', 'jointType', 'costPerM', 'pricedOn', 'priceSource'] as const;

/** The files of an agency, open for writing in one folder. */
export function openTables(folder: string) {
  return {
    facilities: new CsvFile(join(folder, 'facilities.csv'), FACILITY_COLUMNS),
    segments: new GeoJsonFile(join(folder, 'segments.geojson')),
    seals: new CsvFile(join(folder, 'seals.csv'), SEAL_COLUMNS),
    inspections: new CsvFile(join(folder, 'inspections.csv'), INSPECTION_COLUMNS),
    stations: new CsvFile(join(folder, 'stations.csv'), STATION_COLUMNS),
    climate: new CsvFile(join(folder, 'climate.csv'), CLIMATE_COLUMNS),
    unitCosts: new CsvFile(join(folder, 'unit-costs.csv'), UNIT_COST_COLUMNS),
  };
}
export type Tables = ReturnType<typeof openTables>;

/** File name of each table, as lists of rows name it. */
export const FILE_NAMES: Record<keyof Tables, string> = {
  facilities: 'facilities.csv',
  segments: 'segments.geojson',
  seals: 'seals.csv',
  inspections: 'inspections.csv',
  stations: 'stations.csv',
  climate: 'climate.csv',
  unitCosts: 'unit-costs.csv',
};

export const facilityCells = (facility: Facility): Cell[] => FACILITY_COLUMNS.map((column) => facility[column]);

export const sealCells = (seal: SealRecord): Cell[] =>
  SEAL_COLUMNS.map((column) => (column === 'sealantClass' ? seal.writtenClass : seal[column]));

export const readingCells = (reading: Reading): Cell[] =>
  INSPECTION_COLUMNS.map((column) => {
    if ((DAMAGE_KINDS as readonly string[]).includes(column))
      return reading.damageShares[column as (typeof DAMAGE_KINDS)[number]];
    return reading[column as Exclude<keyof Reading, 'damageShares'>];
  });

export const stationCells = ({ id, name, position: [lon, lat], elevationM }: Station): Cell[] => [
  id,
  name,
  lat,
  lon,
  elevationM,
];

export const weatherCells = (stationId: string, { day, maxC, minC, precipitationMm }: WeatherDay): Cell[] => [
  stationId,
  isoOf(day),
  maxC,
  minC,
  precipitationMm,
];

export function writeSegment(file: GeoJsonFile, segment: Segment): void {
  const { geometry, ...properties } = segment;
  file.write(properties, geometry);
}
