import fc from 'fast-check';
import { expect, test } from 'vitest';
import { firstTiles } from '../../../../server/tiles/first-tiles.ts';
import { isTile, tileBox } from '../../../../server/tiles/tile-grid.ts';

test('a country on two tiles each way, and from one zoom farther away', () => {
  // Web Mercator (OGC WebMercatorQuad) at zoom 3: a tile is 45 degrees wide; from 125 W to 67 W are columns 1 and 2.
  const tiles = firstTiles([-125, 25, -67, 49]);
  expect(tiles.map(({ z, x, y }) => `${z}/${x}/${y}`)).toEqual(['3/1/2', '3/1/3', '3/2/2', '3/2/3', '2/0/1', '2/1/1']);
});

test('few tiles, that exist and hold all of the network, wherever and however large it is', () => {
  const lon = fc.double({ min: -179, max: 179, noNaN: true });
  const lat = fc.double({ min: -80, max: 80, noNaN: true });
  fc.assert(
    fc.property(lon, lat, lon, lat, (a, b, c, d) => {
      const [west, east] = [Math.min(a, c), Math.max(a, c)];
      const [south, north] = [Math.min(b, d), Math.max(b, d)];
      const tiles = firstTiles([west, south, east, north]);
      expect(tiles.length).toBeLessThanOrEqual(18);
      for (const z of new Set(tiles.map((tile) => tile.z))) {
        const boxes = tiles.filter((tile) => tile.z === z).map(tileBox);
        expect(tiles.every(isTile)).toBe(true);
        for (const [x, y] of [
          [west, south],
          [west, north],
          [east, south],
          [east, north],
        ])
          expect(boxes.some(([w, s, e, n]) => w <= x && x <= e && s <= y && y <= n)).toBe(true);
      }
    }),
    { seed: 1, numRuns: 300 },
  );
});
