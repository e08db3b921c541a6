import type { ClimateDay, ClimateStation } from '../../schemas/climate.ts';
import { MISSING_READINGS } from '../guess-units.ts';
import type { RowReader } from '../row-reader.ts';
import { type RowContext, refuseFuture, requiredKey, unknownHint } from './row-context.ts';
import { readPosition } from './station-row.ts';

export interface ClimateRow {
  readonly day: ClimateDay;
  /** Made from the row's own position columns, the first time its station comes. */ readonly station: ClimateStation | null;
}

/** A row of a daily-summary file: one day of one station. The station is stored, or in the load, or in the row itself. */
export function readClimateRow(row: RowReader, context: RowContext): ClimateRow | null {
  const stationId = requiredKey(row, 'stationId');
  const day = row.required('day', row.day('day'), 'a day as YYYY-MM-DD');
  const maxC = readReading(row, 'maxC');
  const minC = readReading(row, 'minC');
  const precipitationMm = isTrace(row) ? 0 : readReading(row, 'precipitationMm');
  refuseFuture(row, context, 'day', day);
  if (maxC !== null && minC !== null && maxC < minC) {
    row.refuse('maxC', maxC, 'at least the minimum of the day', `The minimum is ${minC} °C. Are the columns swapped?`);
  }
  const station = stationId === null ? null : findStation(row, context, stationId);
  if (stationId === null || day === null || row.problems.length > 0) return null;
  if (context.known.repeatsClimateDay(stationId, day)) {
    return row.refuse('day', day, 'a day that comes once for its station in a load');
  }
  return { day: { stationId, day, maxC, minC, precipitationMm }, station };
}

function readReading(row: RowReader, field: string): number | null {
  const raw = row.raw(field);
  if (raw === null) return null;
  if (raw === 'M' || MISSING_READINGS.has(Number(raw))) {
    row.note(`${field} ${raw} was read as no reading`);
    return null;
  }
  return row.number(field);
}

/** T stands for a trace: too little to measure. */
function isTrace(row: RowReader): boolean {
  const trace = row.raw('precipitationMm') === 'T';
  if (trace) row.note('Precipitation T (a trace) was read as 0');
  return trace;
}

/** Null when the station is known already; refuses the row when it is not and the row gives no position. */
function findStation(row: RowReader, context: RowContext, id: string): ClimateStation | null {
  const { known } = context;
  if (known.firstSeen('stations', id)) return null;
  if (row.raw('lon') !== null || row.raw('lat') !== null) {
    const place = readPosition(row, context);
    return place && { id, ...place, sourceFile: context.file, sourceRow: row.row };
  }
  if (known.hasStation(id)) return null;
  const hint = unknownHint(id, 'stations', (key) => known.hasStation(key));
  return row.refuse('stationId', id, 'a station with a position, here or in a stations file', hint);
}
