import type { BoxDegrees } from '../store/store.ts';

/** A tile of the Web Mercator quad grid: y counts from the north (OGC WebMercatorQuad). */
export interface TileAddress {
  readonly z: number;
  readonly x: number;
  readonly y: number;
}

/** Units across one tile (Mapbox Vector Tile 2.1, the usual extent). */
export const TILE_EXTENT = 4096;
/** Lines are drawn this far beyond the edge, so that joins and wide lines meet across tiles. */
export const TILE_BUFFER = 64;
/** From this zoom on each segment is drawn by itself; below, runs of contiguous segments. */
export const SEGMENT_ZOOM = 12;
export const MAX_ZOOM = 22;

const longitude = (x: number, z: number) => (x / 2 ** z) * 360 - 180;
const latitude = (y: number, z: number) => (Math.atan(Math.sinh(Math.PI * (1 - (2 * y) / 2 ** z))) * 180) / Math.PI;

export const isTile = ({ z, x, y }: TileAddress): boolean => z <= MAX_ZOOM && x < 2 ** z && y < 2 ** z;

/** The tile with its buffer, in degrees: west, south, east, north. */
export function tileBox({ z, x, y }: TileAddress): BoxDegrees {
  const margin = TILE_BUFFER / TILE_EXTENT;
  return [
    longitude(x - margin, z),
    latitude(Math.min(2 ** z, y + 1 + margin), z),
    longitude(x + 1 + margin, z),
    latitude(Math.max(0, y - margin), z),
  ];
}

/** Position in the tile's own units, x to the east and y to the south. */
export function tilePosition({ z, x, y }: TileAddress, lon: number, lat: number): [number, number] {
  const size = 2 ** z;
  const sine = Math.sin((lat * Math.PI) / 180);
  const east = ((lon + 180) / 360) * size - x;
  const south = (0.5 - Math.log((1 + sine) / (1 - sine)) / (4 * Math.PI)) * size - y;
  return [east * TILE_EXTENT, south * TILE_EXTENT];
}
