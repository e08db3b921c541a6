import type { ClimateStation } from '../../schemas/climate.ts';
import type { RowReader } from '../row-reader.ts';
import { type RowContext, refuseRepeated, requiredKey } from './row-context.ts';

/** A row of a stations file. */
export function readStation(row: RowReader, context: RowContext): ClimateStation | null {
  const id = requiredKey(row, 'id');
  if (id !== null) refuseRepeated(row, context, 'stations', 'id', id);
  const place = readPosition(row, context);
  if (id === null || place === null) return null;
  return { id, ...place, sourceFile: context.file, sourceRow: row.row };
}

/** Name, position and height of a station, from a stations file or from columns of a climate file. */
export function readPosition(
  row: RowReader,
  context: RowContext,
): Omit<ClimateStation, 'id' | 'sourceFile' | 'sourceRow'> | null {
  const name = row.text('name');
  const elevationM = row.number('elevationM');
  const asGiven = { lon: row.number('lon'), lat: row.number('lat') };
  for (const field of ['lon', 'lat'] as const) row.required(field, asGiven[field], 'degrees');
  if (asGiven.lon === null || asGiven.lat === null) return null;
  const swap = context.geometryRules.swapLonLat;
  const lon = swap ? asGiven.lat : asGiven.lon;
  const lat = swap ? asGiven.lon : asGiven.lat;
  if (Math.abs(lat) > 90) return row.refuse('lat', lat, '-90 to 90', 'Are longitude and latitude swapped?');
  return { name, lon, lat, elevationM };
}
