import type { Filter, SortField } from '../../../../server/schemas/filter.ts';
import type { SegmentRow } from '../../../../server/schemas/forecast.ts';

const listed = (list: string | undefined, value: string | null): boolean => {
  const words = (list ?? '').split(',').filter((word) => word !== '');
  return words.length === 0 || (value !== null && words.map(decodeURIComponent).includes(value));
};

const within = (low: number | undefined, high: number | undefined, value: number | null): boolean => {
  if (low === undefined && high === undefined) return true;
  return value !== null && value >= (low ?? -Infinity) && value <= (high ?? Infinity);
};

/** The filter as a reader would say it: what the SQL must agree with. */
export function keeps(filter: Filter, row: SegmentRow): boolean {
  const search = (filter.search ?? '').trim().toLowerCase();
  return (
    listed(filter.district, row.district) &&
    listed(filter.facility, row.facilityId) &&
    listed(filter.facilityKind, row.facilityKind) &&
    listed(filter.jointType, row.jointType) &&
    listed(filter.sealantClass, row.sealantClass) &&
    within(filter.minAgeYears, filter.maxAgeYears, row.ageYears) &&
    within(filter.minDamagedShare, filter.maxDamagedShare, row.damagedShare) &&
    within(filter.minDueYear, filter.maxDueYear, row.dueYear) &&
    listed(filter.segmentIds, row.id) &&
    (row.id.toLowerCase().includes(search) || row.facilityName.toLowerCase().includes(search))
  );
}

/** -1, 0 or 1; unknown values stand last in both directions. */
export function compareBy(sort: SortField, descending: boolean): (a: SegmentRow, b: SegmentRow) => number {
  return (a, b) => {
    const [x, y] = [a[sort], b[sort]];
    if (x === y) return 0;
    if (x === null) return 1;
    if (y === null) return -1;
    return x < y === descending ? 1 : -1;
  };
}
