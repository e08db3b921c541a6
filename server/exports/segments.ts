import type { Filter } from '../schemas/filter.ts';
import type { SegmentRow } from '../schemas/forecast.ts';
import type { Store } from '../store/store.ts';
import { type Cell, csvText } from './csv-text.ts';
import { inLengthUnit, inWidthUnit, lengthUnit, rounded, type Units, widthUnit } from './units.ts';

/** The joints that the filter keeps, as CSV in pieces of about a thousand rows. */
export async function* segmentsCsv(store: Store, filter: Filter, units: Units): AsyncGenerator<string> {
  const modelVersion = await store.modelVersion();
  yield csvText([[...columnNames(units), 'modelVersion']]);
  for await (const batch of store.exportSegments(filter, false))
    yield csvText(batch.map((row) => [...cells(row, units), forecastBy(row, modelVersion)]));
}

/** The same as a GeoJSON FeatureCollection (RFC 7946), SI units. */
export async function* segmentsGeoJson(store: Store, filter: Filter): AsyncGenerator<string> {
  const modelVersion = await store.modelVersion();
  yield '{"type":"FeatureCollection","features":[';
  let separator = '\n';
  for await (const batch of store.exportSegments(filter, true)) {
    const features = batch.map(({ geometry, ...row }) => {
      const properties = { ...tidy(row), modelVersion: forecastBy(row, modelVersion) };
      return JSON.stringify({ type: 'Feature', id: row.id, geometry, properties });
    });
    if (features.length === 0) continue;
    yield separator + features.join(',\n');
    separator = ',\n';
  }
  yield '\n]}\n';
}

/** Version of the model that a row's forecast is from; null where it has none. */
const forecastBy = ({ failedNowProbability }: SegmentRow, modelVersion: number | null): number | null =>
  failedNowProbability === null ? null : modelVersion;

const columnNames = (units: Units): string[] => [
  'id',
  'facilityId',
  'facilityName',
  'facilityKind',
  'district',
  'jointType',
  'direction',
  'firstLane',
  'lastLane',
  `begin${lengthUnit(units)}`,
  `end${lengthUnit(units)}`,
  `width${widthUnit(units)}`,
  `sealedLength${lengthUnit(units)}`,
  'sealantClass',
  'installedFrom',
  'installedTo',
  'ageYears',
  'lastInspectedOn',
  'damagedShare',
  'failedNowProbability',
  'medianFailureYear',
  'lowerFailureYear',
  'upperFailureYear',
  'dueYear',
  'unsealedByPolicy',
];

const cells = (row: SegmentRow, units: Units): Cell[] => [
  row.id,
  row.facilityId,
  row.facilityName,
  row.facilityKind,
  row.district,
  row.jointType,
  row.direction ?? null,
  row.firstLane ?? null,
  row.lastLane ?? null,
  inLengthUnit(row.beginM, units),
  inLengthUnit(row.endM, units),
  inWidthUnit(row.widthMm, units),
  inLengthUnit(row.sealedLengthM, units),
  row.sealantClass,
  row.installedFrom,
  row.installedTo,
  maybe(row.ageYears, 2),
  row.lastInspectedOn,
  maybe(row.damagedShare, 4),
  maybe(row.failedNowProbability, 4),
  maybe(row.medianFailureYear, 1),
  maybe(row.lowerFailureYear, 1),
  maybe(row.upperFailureYear, 1),
  row.dueYear,
  row.unsealedByPolicy,
];

const maybe = (value: number | null, digits: number): number | null => (value === null ? null : rounded(value, digits));

const tidy = (row: SegmentRow): SegmentRow => ({
  ...row,
  ageYears: maybe(row.ageYears, 2),
  damagedShare: maybe(row.damagedShare, 4),
  failedNowProbability: maybe(row.failedNowProbability, 4),
  medianFailureYear: maybe(row.medianFailureYear, 1),
  lowerFailureYear: maybe(row.lowerFailureYear, 1),
  upperFailureYear: maybe(row.upperFailureYear, 1),
});
