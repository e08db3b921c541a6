import type { BoxDegrees, Store } from '../store/store.ts';
import { TILE_EXTENT, type TileAddress, tilePosition } from './tile-grid.ts';
import type { TileService } from './tile-service.ts';

/** A map that shows all of a network on a wide screen draws it on about so many tiles each way. */
const TILES_ACROSS = 2;
/** A narrow screen shows it from one zoom farther away. */
const ZOOMS = 2;
/** Nearer than this a network is a few joints, and its tiles take no time. */
const NEAREST = 16;

/** Tiles of the zooms at which maps of a whole network begin, within its bounds. */
export function firstTiles([west, south, east, north]: BoxDegrees): TileAddress[] {
  const shareOfWorld = (lon: number, lat: number) =>
    tilePosition({ z: 0, x: 0, y: 0 }, lon, lat).map((units) => units / TILE_EXTENT);
  const [left, top] = shareOfWorld(west, north);
  const [right, bottom] = shareOfWorld(east, south);
  const extent = Math.max(right - left, bottom - top, 2 ** -NEAREST);
  const nearest = Math.min(NEAREST, Math.floor(Math.log2(TILES_ACROSS / extent)));
  const tiles: TileAddress[] = [];
  for (let z = nearest; z > nearest - ZOOMS && z >= 0; z--) {
    const last = 2 ** z - 1;
    for (let x = Math.floor(left * 2 ** z); x <= Math.min(last, Math.floor(right * 2 ** z)); x++)
      for (let y = Math.floor(top * 2 ** z); y <= Math.min(last, Math.floor(bottom * 2 ** z)); y++)
        tiles.push({ z, x, y });
  }
  return tiles;
}

/** Makes them before anybody asks: those of a large network take a good part of a second. */
export async function makeFirstTiles(store: Store, tiles: TileService): Promise<void> {
  const bounds = await store.networkBounds();
  if (bounds) for (const address of firstTiles(bounds)) await tiles.tile(address, {});
}
