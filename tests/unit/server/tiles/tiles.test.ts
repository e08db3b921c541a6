import { VectorTile } from '@mapbox/vector-tile';
import fc from 'fast-check';
import { PbfReader } from 'pbf';
import { describe, expect, test } from 'vitest';
import type { TileSegment } from '../../../../server/store/store.ts';
import { clipLine } from '../../../../server/tiles/clip-line.ts';
import { encodeSegments, tileLines } from '../../../../server/tiles/encode-tile.ts';
import { probabilityAt, probabilityText } from '../../../../server/tiles/probability-text.ts';
import { TILE_BUFFER, TILE_EXTENT, tileBox, tilePosition } from '../../../../server/tiles/tile-grid.ts';

const segment = (coordinates: [number, number][], extra: Partial<TileSegment> = {}): TileSegment => ({
  rowId: 7,
  id: 'H1-0001-T',
  facilityId: 'H1',
  facilityKind: 'highway',
  jointType: 'transverse-contraction',
  direction: null,
  sealedLengthM: 360.04,
  sealantClass: 'silicone-non-sag',
  damagedShare: 0.125,
  unsealedByPolicy: false,
  dueYear: 2031,
  planningYear: 2026,
  failedByYearEnd: Float32Array.of(0, 0.5, 1),
  workByYear: null,
  geometry: { type: 'LineString', coordinates },
  ...extra,
});

describe('tile grid', () => {
  test('tile 0/0/0 covers the world and its corners are those of Web Mercator', () => {
    // OGC Two Dimensional Tile Matrix Set, WebMercatorQuad: latitude limit 85.0511287798066 degrees.
    expect(tilePosition({ z: 0, x: 0, y: 0 }, -180, 85.0511287798066).map((v) => Math.round(v) + 0)).toEqual([0, 0]);
    expect(tilePosition({ z: 0, x: 0, y: 0 }, 180, -85.0511287798066).map(Math.round)).toEqual([
      TILE_EXTENT,
      TILE_EXTENT,
    ]);
  });

  test('a position inside a tile lies inside its box, and the box grows by the buffer only', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 16 }),
        fc.double({ min: -179, max: 179, noNaN: true }),
        fc.double({ min: -80, max: 80, noNaN: true }),
        (z, lon, lat) => {
          const [worldX, worldY] = tilePosition({ z, x: 0, y: 0 }, lon, lat);
          const address = { z, x: Math.floor(worldX / TILE_EXTENT), y: Math.floor(worldY / TILE_EXTENT) };
          const [west, south, east, north] = tileBox(address);
          expect(lon >= west && lon <= east && lat >= south - 1e-9 && lat <= north + 1e-9).toBe(true);
          const [x, y] = tilePosition(address, west, north);
          expect(x).toBeCloseTo(-TILE_BUFFER, 3);
          if (address.y > 0) expect(y).toBeCloseTo(-TILE_BUFFER, 3);
        },
      ),
      { seed: 1, numRuns: 300 },
    );
  });
});

describe('clipping', () => {
  test('a line through the square is cut at both edges', () => {
    expect(
      clipLine(
        [
          [-10, 5],
          [20, 5],
        ],
        0,
        10,
      ),
    ).toEqual([
      [
        [0, 5],
        [10, 5],
      ],
    ]);
  });

  test('a line that leaves and comes back gives two parts', () => {
    const parts = clipLine(
      [
        [5, 5],
        [15, 5],
        [15, 8],
        [5, 8],
      ],
      0,
      10,
    );
    expect(parts).toEqual([
      [
        [5, 5],
        [10, 5],
      ],
      [
        [10, 8],
        [5, 8],
      ],
    ]);
  });

  test('a line outside gives nothing', () => {
    expect(
      clipLine(
        [
          [20, 20],
          [30, 5],
        ],
        0,
        10,
      ),
    ).toEqual([]);
  });

  test('every clipped point is inside, and a line inside comes back whole', () => {
    const point = fc.tuple(fc.integer({ min: -50, max: 60 }), fc.integer({ min: -50, max: 60 }));
    fc.assert(
      fc.property(fc.array(point, { minLength: 2, maxLength: 12 }), (line) => {
        const parts = clipLine(line, 0, 10);
        for (const [x, y] of parts.flat()) {
          expect(x).toBeGreaterThanOrEqual(-1e-9);
          expect(x).toBeLessThanOrEqual(10 + 1e-9);
          expect(y).toBeGreaterThanOrEqual(-1e-9);
          expect(y).toBeLessThanOrEqual(10 + 1e-9);
        }
        if (line.every(([x, y]) => x >= 0 && x <= 10 && y >= 0 && y <= 10)) expect(parts).toEqual([line]);
      }),
      { seed: 2, numRuns: 500 },
    );
  });
});

describe('encoding', () => {
  const address = { z: 14, x: 4092, y: 5900 };
  const [west, south, east, north] = tileBox(address);
  const middle: [number, number] = [(west + east) / 2, (south + north) / 2];

  test('an independent decoder reads back what was written', () => {
    const tile = new VectorTile(new PbfReader(encodeSegments(address, [segment([[west, middle[1]], middle])])));
    const layer = tile.layers.segments;
    expect([layer.version, layer.extent, layer.length]).toEqual([2, TILE_EXTENT, 1]);
    const feature = layer.feature(0);
    expect(feature.id).toBe(7);
    expect(feature.properties).toEqual({
      id: 'H1-0001-T',
      facility: 'H1',
      kind: 'highway',
      jointType: 'transverse-contraction',
      class: 'silicone-non-sag',
      lengthM: 360,
      damaged: 0.125,
      due: 2031,
      p: '0Vz', // levels 0, 31 (0.5 x 61 rounded up) and 61
    });
    const [[first, last]] = feature.loadGeometry();
    expect([first.x, last.x]).toEqual([-TILE_BUFFER, TILE_EXTENT / 2]);
  });

  test('what is not known is left out, not written as zero', () => {
    const bare = segment([[west, middle[1]], middle], {
      sealantClass: null,
      damagedShare: null,
      dueYear: null,
      failedByYearEnd: null,
    });
    const tile = new VectorTile(new PbfReader(encodeSegments(address, [bare])));
    expect(Object.keys(tile.layers.segments.feature(0).properties)).toEqual([
      'id',
      'facility',
      'kind',
      'jointType',
      'lengthM',
    ]);
  });

  test('a joint shorter than one unit is drawn as a dash: the format forbids a step of zero', () => {
    const lines = tileLines(
      { z: 3, x: 1, y: 2 },
      {
        type: 'LineString',
        coordinates: [
          [-100, 50],
          [-99.99999, 50],
        ],
      },
    );
    expect(lines).toHaveLength(1);
    expect(lines[0][1][0] - lines[0][0][0]).toBe(1);
  });

  test('an empty tile has no bytes', () => {
    expect(encodeSegments(address, [])).toHaveLength(0);
  });
});

test('probabilities survive the short text within half a level', () => {
  fc.assert(
    fc.property(fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 21, maxLength: 21 }), (shares) => {
      const text = probabilityText(shares);
      for (const [i, share] of shares.entries()) {
        expect(Math.abs(probabilityAt(text, i) - share)).toBeLessThanOrEqual(0.5 / 61 + 1e-12);
      }
    }),
    { seed: 3 },
  );
});
