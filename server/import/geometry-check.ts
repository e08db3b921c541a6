import { length } from '@turf/length';
import geojsonValidation from 'geojson-validation';
import type { LineGeometry } from '../schemas/segment.ts';
import type { BoxDegrees } from '../store/store.ts';
import { type FieldProblem, showValue } from './row-problem.ts';
import { readGeometryText } from './wkt.ts';

export type GeometryResult =
  | { ok: true; geometry: LineGeometry; lengthM: number; droppedMeasure: boolean }
  | { ok: false; problem: FieldProblem };

const SHORTEST_M = 0.01;
const MOST_POSITIONS = 20_000;
const EXPECTED_LINE = 'a LineString or MultiLineString';
const EXPECTED_DEGREES = 'longitude -180 to 180 and latitude -60 to 90, in that order';
const SWAP_HINT = 'Are longitude and latitude swapped? You can say so for the whole file.';
const PROJECTED_HINT =
  'These look like projected coordinates (metres or feet). Export the layer again as longitude and latitude (WGS 84, EPSG:4326).';

const refuse = (found: string, expected: string, hint?: string): GeometryResult => ({
  ok: false,
  problem: { field: 'geometry', found, expected, ...(hint ? { hint } : {}) },
});

/** What a geometry is held against: the choice of the user, and where positions of this network are to be expected. */
export interface GeometryRules {
  readonly swapLonLat: boolean;
  /** Where the network lies, then where most of the file lies; [west, south, east, north], with room. */
  readonly expectedBoxes: readonly BoxDegrees[];
}

/** A segment's geometry as a GeoJSON value or as the text of a CSV cell, checked for structure, then for meaning. */
export function checkGeometry(value: unknown, rules: GeometryRules): GeometryResult {
  if (value === null || value === undefined || value === '') {
    return refuse('empty', EXPECTED_LINE, 'A segment needs a line to be on the map; add it and load the row again.');
  }
  let candidate: unknown = value;
  if (typeof value === 'string') {
    const reading = readGeometryText(value.trim());
    if (!reading.ok)
      return refuse(showValue(value), `${EXPECTED_LINE} as well-known text (WKT) or GeoJSON`, reading.hint);
    candidate = reading.geometry;
  }
  return structureProblem(candidate) ?? checkPositions(candidate as LineGeometry, rules);
}

function structureProblem(candidate: unknown): GeometryResult | null {
  if (typeof candidate !== 'object' || candidate === null || Array.isArray(candidate)) {
    return refuse(showValue(candidate), EXPECTED_LINE);
  }
  const { type, coordinates } = candidate as { type?: unknown; coordinates?: unknown };
  if (type !== 'LineString' && type !== 'MultiLineString') return refuse(`of type ${showValue(type)}`, EXPECTED_LINE);
  const lines: unknown[] = type === 'LineString' ? [coordinates] : Array.isArray(coordinates) ? coordinates : [null];
  if (lines.length === 0) return refuse('without positions', 'at least two positions');
  for (const line of lines) {
    if (Array.isArray(line) && line.length < 2) {
      return refuse(line.length === 0 ? 'without positions' : 'a single position', 'at least two positions');
    }
  }
  const positions = lines.reduce<number>((sum, line) => sum + (Array.isArray(line) ? line.length : 0), 0);
  if (positions > MOST_POSITIONS) return refuse(`${positions} positions long`, `at most ${MOST_POSITIONS} positions`);
  const [first] = geojsonValidation.isFeature({ type: 'Feature', properties: {}, geometry: candidate }, true);
  return first ? refuse(`not valid: ${showValue(first)}`, `${EXPECTED_LINE} (RFC 7946)`) : null;
}

function checkPositions(source: LineGeometry, rules: GeometryRules): GeometryResult {
  let droppedMeasure = false;
  const clean = (position: number[]): number[] => {
    if (position.length > 3) droppedMeasure = true;
    const [x, y, ...rest] = position;
    const height = rest.length > 0 ? [rest[0]] : [];
    return rules.swapLonLat ? [y, x, ...height] : [x, y, ...height];
  };
  const geometry: LineGeometry =
    source.type === 'LineString'
      ? { type: 'LineString', coordinates: source.coordinates.map(clean) }
      : { type: 'MultiLineString', coordinates: source.coordinates.map((line) => line.map(clean)) };
  const positions = geometry.type === 'LineString' ? geometry.coordinates : geometry.coordinates.flat();
  for (const position of positions) {
    const problem = positionProblem(position, rules);
    if (problem) return problem;
  }
  const lengthM = length({ type: 'Feature', properties: {}, geometry } as GeoJSON.Feature<GeoJSON.LineString>, {
    units: 'meters',
  });
  if (!(lengthM >= SHORTEST_M)) {
    return refuse('of zero length', 'a line with a length', 'Its positions are all the same point.');
  }
  return { ok: true, geometry, lengthM, droppedMeasure };
}

function positionProblem(
  position: readonly number[],
  { swapLonLat, expectedBoxes }: GeometryRules,
): GeometryResult | null {
  const [lon, lat] = position;
  const swapHint = swapLonLat ? 'Was it right not to swap longitude and latitude?' : SWAP_HINT;
  const found = `at ${lon}, ${lat}`;
  if (!position.every(Number.isFinite)) return refuse(found, 'finite numbers');
  const fitsSwapped = Math.abs(lat) <= 180 && lon >= -60 && lon <= 90;
  if (Math.abs(lon) > 180 || Math.abs(lat) > 90) {
    return refuse(found, EXPECTED_DEGREES, fitsSwapped ? swapHint : PROJECTED_HINT);
  }
  // No paved network lies so far south: latitude below -60 is a longitude of the western hemisphere.
  if (lat < -60) return refuse(found, EXPECTED_DEGREES, fitsSwapped ? swapHint : undefined);
  for (const box of expectedBoxes) {
    if (isInside(lon, lat, box)) return null;
    if (isInside(lat, lon, box)) return refuse(found, 'a position near the rest of the network', swapHint);
  }
  return null;
}

const isInside = (lon: number, lat: number, [west, south, east, north]: BoxDegrees): boolean =>
  lon >= west && lon <= east && lat >= south && lat <= north;

/** A box with room round it: half its size on each side, at least one degree. */
export function withRoom([west, south, east, north]: BoxDegrees): BoxDegrees {
  const x = Math.max(1, (east - west) / 2);
  const y = Math.max(1, (north - south) / 2);
  return [west - x, south - y, east + x, north + y];
}

/**
 * The box that the middle nine tenths of a file's first positions lie in, with room: what one swapped row falls out of.
 * Null when there are too few rows to tell.
 */
export function boxOfMost(positions: readonly (readonly [number, number])[]): BoxDegrees | null {
  if (positions.length < 10) return null;
  const at = (values: number[], share: number) => values.sort((a, b) => a - b)[Math.floor(share * (values.length - 1))];
  const lons = positions.map(([lon]) => lon);
  const lats = positions.map(([, lat]) => lat);
  return withRoom([at(lons, 0.05), at(lats, 0.05), at(lons, 0.95), at(lats, 0.95)]);
}

/** First position of a geometry value, when it has one: for `boxOfMost`, before anything is checked. */
export function firstPosition(value: unknown): readonly [number, number] | null {
  let inner: unknown = value;
  if (typeof value === 'string') {
    const reading = readGeometryText(value.trim());
    inner = reading.ok ? reading.geometry : null;
  }
  inner = typeof inner === 'object' && inner !== null && 'coordinates' in inner ? inner.coordinates : null;
  for (let level = 0; level < 3 && Array.isArray(inner); level++) {
    if (Number.isFinite(inner[0]) && Number.isFinite(inner[1])) return [inner[0], inner[1]];
    inner = inner[0];
  }
  return null;
}
