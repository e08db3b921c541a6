import type { District } from './agency.ts';

/** Metres per degree of latitude on the mean sphere of the Earth, radius 6,371,008.8 m. */
const METRES_PER_DEGREE = 111_195.08;
const RADIANS_PER_DEGREE = Math.PI / 180;

/** lon, lat. */
export type Position = [number, number];

/** Local metres: east and north of a district's centre. */
export interface Place {
  readonly x: number;
  readonly y: number;
}

const roundDegrees = (degrees: number) => Math.round(degrees * 1e6) / 1e6;

/** Local metres to WGS 84, to a millionth of a degree (0.1 m). */
export function toPosition(district: District, { x, y }: Place): Position {
  const lat = district.lat + y / METRES_PER_DEGREE;
  const lon = district.lon + x / (METRES_PER_DEGREE * Math.cos(lat * RADIANS_PER_DEGREE));
  return [roundDegrees(lon), roundDegrees(lat)];
}

/** Great-circle distance (haversine formula), km. */
export function distanceKm([lonA, latA]: Position, [lonB, latB]: Position): number {
  const halfLat = ((latB - latA) / 2) * RADIANS_PER_DEGREE;
  const halfLon = ((lonB - lonA) / 2) * RADIANS_PER_DEGREE;
  const chord =
    Math.sin(halfLat) ** 2 +
    Math.cos(latA * RADIANS_PER_DEGREE) * Math.cos(latB * RADIANS_PER_DEGREE) * Math.sin(halfLon) ** 2;
  return 2 * 6371.0088 * Math.asin(Math.sqrt(chord));
}

/** A frame moved to `origin` and turned by `angle` (radians, anticlockwise): u along, v to the left. */
export function inFrame(origin: Place, angle: number, u: number, v: number): Place {
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  return { x: origin.x + u * cos - v * sin, y: origin.y + u * sin + v * cos };
}
