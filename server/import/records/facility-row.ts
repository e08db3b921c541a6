import type { Facility } from '../../schemas/facility.ts';
import type { FacilityKind } from '../../schemas/words.ts';
import type { RowReader } from '../row-reader.ts';
import { type RowContext, refuseFuture, refuseRepeated, requiredKey } from './row-context.ts';

/** A row of a facilities file. A missing name is the id. */
export function readFacility(row: RowReader, context: RowContext): Facility | null {
  const id = requiredKey(row, 'id');
  const kind = row.required('kind', row.word<FacilityKind>('kind'), 'a kind of facility');
  const district = row.required('district', row.text('district'), 'the name of a district');
  const name = row.text('name');
  const facility = {
    route: row.text('route'),
    lanes: row.number('lanes'),
    widthM: row.number('widthM'),
    aadt: row.number('aadt'),
    truckShare: row.number('truckShare'),
    departuresPerYear: row.number('departuresPerYear'),
    yearBuilt: row.number('yearBuilt'),
    recordsFrom: row.day('recordsFrom'),
  };
  refuseFuture(row, context, 'recordsFrom', facility.recordsFrom);
  if (facility.yearBuilt !== null) refuseFuture(row, context, 'yearBuilt', `${facility.yearBuilt}-01-01`);
  if (id !== null) refuseRepeated(row, context, 'facilities', 'id', id);
  if (id === null || kind === null || district === null) return null;
  if (name === null && row.problems.length === 0) row.note('A facility without a name is called by its id');
  return { id, kind, district, name: name ?? id, ...facility, sourceFile: context.file, sourceRow: row.row };
}
