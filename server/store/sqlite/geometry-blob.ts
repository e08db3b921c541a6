import type { LineGeometry } from '../../schemas/segment.ts';
import type { BoxDegrees } from '../store.ts';

/** Degrees are kept as whole ten-millionths: about 1 cm on the ground, and 8 bytes a point. */
const PER_DEGREE = 1e7;
const PER_METRE = 1000;
const NO_ELEVATION = -(2 ** 31);
const LINE = 1;
const MULTI_LINE = 2;

type Position = readonly number[];

const partsOf = (geometry: LineGeometry): readonly (readonly Position[])[] =>
  geometry.type === 'LineString' ? [geometry.coordinates] : geometry.coordinates;

function checkPlace([lon, lat]: Position): void {
  if (Math.abs(lon) <= 180 && Math.abs(lat) <= 90) return; // false for NaN too
  throw new RangeError(`A place is [${lon}, ${lat}]; expected longitude -180 to 180 and latitude -90 to 90.`);
}

/**
 * Layout, little-endian 32-bit: kind (1 line, 2 lines) + 256 x numbers a point (2 or 3); number of parts; points of
 * each part; then lon, lat (and elevation in mm, when any point has one).
 * @throws RangeError for a place off the globe
 */
export function encodeGeometry(geometry: LineGeometry): Buffer {
  const parts = partsOf(geometry);
  const size = parts.some((part) => part.some((p) => p.length > 2)) ? 3 : 2;
  const points = parts.reduce((sum, part) => sum + part.length, 0);
  const blob = Buffer.allocUnsafe(4 * (2 + parts.length + points * size));
  let at = blob.writeInt32LE((geometry.type === 'LineString' ? LINE : MULTI_LINE) + 256 * size, 0);
  at = blob.writeInt32LE(parts.length, at);
  for (const part of parts) at = blob.writeInt32LE(part.length, at);
  for (const part of parts) {
    for (const p of part) {
      checkPlace(p);
      at = blob.writeInt32LE(Math.round(p[0] * PER_DEGREE), at);
      at = blob.writeInt32LE(Math.round(p[1] * PER_DEGREE), at);
      if (size === 3) at = blob.writeInt32LE(p.length > 2 ? Math.round(p[2] * PER_METRE) : NO_ELEVATION, at);
    }
  }
  return blob;
}

/** Each part of a stored geometry as lon, lat, lon, lat ... in degrees; elevation left out. */
export function readParts(blob: Buffer): Float64Array[] {
  const size = blob.readInt32LE(0) >> 8;
  const count = blob.readInt32LE(4);
  let at = 8 + 4 * count;
  const parts: Float64Array[] = [];
  for (let k = 0; k < count; k++) {
    const points = blob.readInt32LE(8 + 4 * k);
    const part = new Float64Array(2 * points);
    for (let i = 0; i < points; i++, at += 4 * size) {
      part[2 * i] = blob.readInt32LE(at) / PER_DEGREE;
      part[2 * i + 1] = blob.readInt32LE(at + 4) / PER_DEGREE;
    }
    parts.push(part);
  }
  return parts;
}

export function decodeGeometry(blob: Buffer): LineGeometry {
  const head = blob.readInt32LE(0);
  const size = head >> 8;
  const count = blob.readInt32LE(4);
  let at = 8 + 4 * count;
  const parts: number[][][] = [];
  for (let k = 0; k < count; k++) {
    const part: number[][] = [];
    for (let i = blob.readInt32LE(8 + 4 * k); i > 0; i--, at += 4 * size) {
      const point = [blob.readInt32LE(at) / PER_DEGREE, blob.readInt32LE(at + 4) / PER_DEGREE];
      const elevation = size === 3 ? blob.readInt32LE(at + 8) : NO_ELEVATION;
      if (elevation !== NO_ELEVATION) point.push(elevation / PER_METRE);
      part.push(point);
    }
    parts.push(part);
  }
  return (head & 255) === LINE
    ? { type: 'LineString', coordinates: parts[0] }
    : { type: 'MultiLineString', coordinates: parts };
}

/** [west, south, east, north] of a stored geometry, degrees. */
export function boxOfBlob(blob: Buffer): BoxDegrees {
  const size = blob.readInt32LE(0) >> 8;
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let at = 8 + 4 * blob.readInt32LE(4); at < blob.length; at += 4 * size) {
    const lon = blob.readInt32LE(at);
    const lat = blob.readInt32LE(at + 4);
    if (lon < west) west = lon;
    if (lon > east) east = lon;
    if (lat < south) south = lat;
    if (lat > north) north = lat;
  }
  return [west / PER_DEGREE, south / PER_DEGREE, east / PER_DEGREE, north / PER_DEGREE];
}
