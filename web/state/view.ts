import type { SortField } from '../../server/schemas/filter.ts';
import type { HORIZON_YEARS as SchemaHorizon } from '../../server/schemas/forecast.ts';

/** Must equal HORIZON_YEARS of the forecast schema; the compiler checks it. */
export const HORIZON_YEARS: typeof SchemaHorizon = 20;

/** What a map colour stands for. */
export type ColourBy = 'due' | 'failed';

export interface Camera {
  readonly lon: number;
  readonly lat: number;
  readonly zoom: number;
}

/** What of the map and the table lives in the address beside the filter. */
export interface View {
  readonly camera: Camera | null;
  readonly colourBy: ColourBy;
  /** Calendar year of "failed by the end of"; null: the planning year. */ readonly year: number | null;
  readonly segmentId: string | null;
  readonly sort: SortField;
  readonly descending: boolean;
}

const SORT_FIELDS = {
  id: true,
  facilityId: true,
  district: true,
  jointType: true,
  sealantClass: true,
  sealedLengthM: true,
  ageYears: true,
  damagedShare: true,
  failedNowProbability: true,
  dueYear: true,
  medianFailureYear: true,
} as const satisfies Record<SortField, true>;

const isSortField = (text: string | null): text is SortField => text !== null && Object.hasOwn(SORT_FIELDS, text);

/** `at=lon,lat,zoom`. Anything outside the map of the world reads as no camera. */
export function readCamera(text: string | null): Camera | null {
  const numbers = text?.split(',').map((part) => (part.trim() === '' ? Number.NaN : Number(part)));
  if (numbers?.length !== 3 || numbers.some((n) => !Number.isFinite(n))) return null;
  const [lon, lat, zoom] = numbers;
  if (Math.abs(lon) > 180 || Math.abs(lat) > 85.06 || zoom < 0 || zoom > 24) return null;
  return { lon, lat, zoom };
}

/** Five decimals of a degree are about a metre; two of a zoom are under 1 %. */
export const writeCamera = ({ lon, lat, zoom }: Camera): string =>
  `${lon.toFixed(5)},${lat.toFixed(5)},${zoom.toFixed(2)}`;

export function readView(params: URLSearchParams): View {
  const sort = params.get('sort');
  const year = params.get('year');
  return {
    camera: readCamera(params.get('at')),
    colourBy: params.get('colour') === 'failed' ? 'failed' : 'due',
    year: year !== null && /^\d{4}$/.test(year) ? Number(year) : null,
    segmentId: params.get('segment') || null,
    sort: isSortField(sort) ? sort : 'dueYear',
    descending: params.get('descending') === 'true',
  };
}

/** The same address with these parts of the view changed. Values that are the default leave no trace. */
export function writeView(params: URLSearchParams, change: Partial<View>): URLSearchParams {
  const next = new URLSearchParams(params);
  const set = (name: string, text: string | null) => (text === null ? next.delete(name) : next.set(name, text));
  if (change.camera !== undefined) set('at', change.camera && writeCamera(change.camera));
  if (change.colourBy !== undefined) set('colour', change.colourBy === 'due' ? null : change.colourBy);
  if (change.year !== undefined) set('year', change.year === null ? null : String(change.year));
  if (change.segmentId !== undefined) set('segment', change.segmentId);
  if (change.sort !== undefined) set('sort', change.sort === 'dueYear' ? null : change.sort);
  if (change.descending !== undefined) set('descending', change.descending ? 'true' : null);
  return next;
}

/** Offset of a calendar year in the forecast, held inside the horizon. */
export const yearOffset = (year: number | null, planningYear: number): number =>
  year === null ? 0 : Math.min(HORIZON_YEARS, Math.max(0, Math.round(year - planningYear)));
