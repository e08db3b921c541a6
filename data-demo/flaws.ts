import type { Facility } from '../server/schemas/facility.ts';
import type { Segment } from '../server/schemas/segment.ts';
import type { Reading } from './readings.ts';
import type { SealRecord } from './seal-records.ts';
import { STATIONS } from './stations.ts';
import { FILE_NAMES, facilityCells, readingCells, sealCells, type Tables, writeSegment } from './tables.ts';

/** A row that must be refused, and what is wrong with it. Rows count as a loader's messages count them. */
export interface RefusedRow {
  readonly file: string;
  readonly row: number;
  readonly field: string;
  readonly kind: string;
  readonly found: string;
}

/** Sound records of one segment, from which refused rows are made by spoiling one field. */
export interface Sample {
  readonly facility: Facility;
  readonly segment: Segment;
  readonly seal: SealRecord;
  readonly reading: Reading;
}

interface Spoilt<T> {
  readonly kind: string;
  readonly field: string;
  readonly found: string;
  readonly row: T;
}

const NOWHERE = 'H99-9999-T';

function spoiltSegments({ segment }: Sample): Spoilt<Segment | null>[] {
  const line = segment.geometry.coordinates as number[][];
  const as = (number: number, change: object) => ({ ...segment, id: `X01-000${number}-T`, ...change }) as Segment;
  const shape = (coordinates: number[][]) => ({ geometry: { type: 'LineString', coordinates } });
  const swapped = line.map(([lon, lat]) => [lat, lon]);
  const projected = line.map((_, i) => [500_120 + 100 * i, 4_872_340 + 35 * i]);
  return [
    {
      kind: 'longitude and latitude swapped',
      field: 'geometry',
      found: `first position ${swapped[0]}`,
      row: as(1, shape(swapped)),
    },
    {
      kind: 'projected coordinates',
      field: 'geometry',
      found: `first position ${projected[0]}`,
      row: as(2, shape(projected)),
    },
    { kind: 'no geometry', field: 'geometry', found: 'null', row: as(3, { geometry: null }) },
    { kind: 'zero length', field: 'geometry', found: 'the same position twice', row: as(4, shape([line[0], line[0]])) },
    {
      kind: 'duplicate id',
      field: 'id',
      found: segment.id,
      row: { ...segment, ...shape(line.slice(0, 2)) } as Segment,
    },
    { kind: 'width in inches', field: 'widthMm', found: '0.5', row: as(5, { widthMm: 0.5 }) },
    { kind: 'unknown facility', field: 'facilityId', found: 'H99-S01', row: as(6, { facilityId: 'H99-S01' }) },
    { kind: 'unknown joint type', field: 'jointType', found: 'diagonal', row: as(7, { jointType: 'diagonal' }) },
    { kind: 'no sealed length', field: 'sealedLengthM', found: '0', row: as(8, { sealedLengthM: 0 }) },
  ];
}

function spoiltSeals({ seal }: Sample): Spoilt<SealRecord>[] {
  const as = (number: number, change: object) =>
    ({
      ...seal,
      id: `${seal.segmentId}/X${number}`,
      installed: '2011-06-14',
      removedOn: null,
      removalReason: null,
      ...change,
    }) as SealRecord;
  return [
    { kind: 'impossible date', field: 'installed', found: '2011-02-30', row: as(1, { installed: '2011-02-30' }) },
    { kind: 'no installation date', field: 'installed', found: 'empty', row: as(2, { installed: '' }) },
    {
      kind: 'unknown class',
      field: 'sealantClass',
      found: 'mystery mastic',
      row: as(3, { writtenClass: 'mystery mastic' }),
    },
    {
      kind: 'unknown segment',
      field: 'segmentId',
      found: NOWHERE,
      row: as(4, { id: `${NOWHERE}/1`, segmentId: NOWHERE }),
    },
    {
      kind: 'removed before installed',
      field: 'removedOn',
      found: '2009-05-04',
      row: as(5, { removedOn: '2009-05-04', removalReason: 'failed' }),
    },
    { kind: 'width in inches', field: 'widthMm', found: '0.5', row: as(6, { widthMm: 0.5 }) },
    { kind: 'month and day unclear', field: 'installed', found: '06/07/2011', row: as(7, { installed: '06/07/2011' }) },
  ];
}

function spoiltReadings({ reading }: Sample): Spoilt<Reading>[] {
  const as = (change: object) =>
    ({ ...reading, damageShares: {}, notes: null, inspectedOn: '2016-05-17', ...change }) as Reading;
  return [
    {
      kind: 'inspected before installed',
      field: 'inspectedOn',
      found: '1979-05-17',
      row: as({ inspectedOn: '1979-05-17' }),
    },
    { kind: 'damaged share over 100 %', field: 'damagedShare', found: '1.4', row: as({ damagedShare: 1.4 }) },
    { kind: 'damaged share below 0', field: 'damagedShare', found: '-0.05', row: as({ damagedShare: -0.05 }) },
    { kind: 'impossible date', field: 'inspectedOn', found: '2015-13-01', row: as({ inspectedOn: '2015-13-01' }) },
    { kind: 'unknown segment', field: 'segmentId', found: NOWHERE, row: as({ segmentId: NOWHERE }) },
    { kind: 'unknown method', field: 'method', found: 'by ear', row: as({ method: 'by ear' }) },
  ];
}

/** Adds one refused row of each kind to the tables. @returns where they are */
export function writeRefusedRows(tables: Tables, sample: Sample): RefusedRow[] {
  const refused: RefusedRow[] = [];
  const note = (table: keyof Tables, { kind, field, found }: Omit<Spoilt<unknown>, 'row'>) =>
    refused.push({ file: FILE_NAMES[table], row: tables[table].row, field, kind, found });
  const facility = { ...sample.facility, id: 'X01-S01' };
  tables.facilities.write(facilityCells({ ...facility, kind: 'canal' as Facility['kind'] }));
  note('facilities', { kind: 'unknown kind of facility', field: 'kind', found: 'canal' });
  tables.facilities.write(facilityCells({ ...facility, id: 'X01-S02', yearBuilt: 204 }));
  note('facilities', { kind: 'impossible year', field: 'yearBuilt', found: '204' });
  for (const spoilt of spoiltSegments(sample)) {
    if (spoilt.row) writeSegment(tables.segments, spoilt.row);
    note('segments', spoilt);
  }
  for (const spoilt of spoiltSeals(sample)) {
    tables.seals.write(sealCells(spoilt.row));
    note('seals', spoilt);
  }
  for (const spoilt of spoiltReadings(sample)) {
    tables.inspections.write(readingCells(spoilt.row));
    note('inspections', spoilt);
  }
  tables.stations.write(['TCT00099', 'Upside Down (invented)', 144.1, -95.5, 300]);
  note('stations', { kind: 'impossible latitude', field: 'lat', found: '144.1' });
  const weather: [string, string, string[]][] = [
    ['impossible date', 'day', [STATIONS[0].id, '2021-02-29', '3.1', '-4.2', '0']],
    ['maximum below minimum', 'maxC', [STATIONS[0].id, '2026-07-01', '12.4', '21.9', '0']],
    ['unknown station', 'stationId', ['TCT00098', '2021-03-01', '3.1', '-4.2', '0']],
  ];
  for (const [kind, field, cells] of weather) {
    tables.climate.write(cells);
    const found = field === 'stationId' ? cells[0] : field === 'day' ? cells[1] : cells[2];
    note('climate', { kind, field, found });
  }
  tables.unitCosts.write(['polysulfide', 'isolation', -4, '2025-07-01', 'invented']);
  note('unitCosts', { kind: 'price below 0', field: 'costPerM', found: '-4' });
  return refused;
}
