/** Zoom bands that share one set of runs; each is drawn for the finest zoom of its band. */
export const FINEST_ZOOMS = [3, 5, 7, 8, 9, 10, 11] as const;

/** Pixels of one map tile, as web maps count them for vector tiles. */
const TILE_PX = 512;

export const EQUATOR_M = 40_075_016.686;

/** Index of the band of a zoom 0-11. */
export function levelOfZoom(zoom: number): number {
  const level = FINEST_ZOOMS.findIndex((finest) => zoom <= finest);
  if (level < 0 || zoom < 0) throw new RangeError(`Zoom is ${zoom}; runs are drawn for zooms 0 to 11.`);
  return level;
}

/** Width of the whole Web Mercator world at a level, pixels. */
export const worldPx = (level: number): number => TILE_PX * 2 ** FINEST_ZOOMS[level];
