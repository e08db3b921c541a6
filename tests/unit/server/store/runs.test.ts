import { expect, test } from 'vitest';
import type { LineGeometry, Segment } from '../../../../server/schemas/segment.ts';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import { simplified } from '../../../../server/store/sqlite/runs/polyline.ts';
import type { TileRun } from '../../../../server/store/store.ts';
import { facility, loadAll, segment } from './sample-records.ts';

/** Finest zoom of each band that shares runs. */
const ZOOMS = [3, 5, 7, 8, 9, 10, 11];
const KM_PER_DEGREE = 111.195; // sphere of 6,371 km

async function runsOf(segments: Segment[], zoom: number): Promise<TileRun[]> {
  const store = openSqliteStore(':memory:', { today: () => '2024-06-01' });
  const facilities = [...new Set(segments.map(({ facilityId }) => facilityId))].map((id) => facility(id));
  await loadAll(store, [
    { kind: 'facilities', rows: facilities },
    { kind: 'segments', rows: segments },
  ]);
  const runs = await store.runsInBox(zoom, [-180, -85, 180, 85], {});
  await store.close();
  return runs;
}

const partsOf = ({ type, coordinates }: LineGeometry): number[][][] =>
  type === 'LineString' ? [coordinates] : coordinates;

/** Pixels of a 512-pixel tile at a zoom: Web Mercator, EPSG:3857. */
function toPixels([lon, lat]: number[], zoom: number): [number, number] {
  const scale = 512 * 2 ** zoom;
  const y = 0.5 - Math.log(Math.tan(Math.PI / 4 + (lat * Math.PI) / 360)) / (2 * Math.PI);
  return [(lon / 360 + 0.5) * scale, y * scale];
}

function lengthPx(geometry: LineGeometry, zoom: number): number {
  let total = 0;
  for (const part of partsOf(geometry)) {
    const points = part.map((p) => toPixels(p, zoom));
    for (let i = 1; i < points.length; i++) {
      total += Math.hypot(points[i][0] - points[i - 1][0], points[i][1] - points[i - 1][1]);
    }
  }
  return total;
}

/** 400 km of road eastward at 35 N: each 500 m with a longitudinal joint, its twin 4 m beside, and joints across. */
function longRoad(measured: boolean): Segment[] {
  const perKm = 1 / (KM_PER_DEGREE * Math.cos((35 * Math.PI) / 180));
  return Array.from({ length: 2400 }, (_, i) => {
    const k = Math.floor(i / 3);
    const from = -100 + k * 0.5 * perKm;
    const lat = 35 + (i % 3) * 0.00004;
    const line = [
      [from, lat],
      [from + 0.5 * perKm, lat],
    ];
    const across = [0.1, 0.2, 0.3, 0.4].map((km) => [
      [from + km * perKm, 35],
      [from + km * perKm, 35.00008],
    ]);
    return segment(`S${i}`, {
      beginM: measured ? k * 500 : null,
      endM: measured ? k * 500 + 500 : null,
      geometry:
        i % 3 === 2 ? { type: 'MultiLineString', coordinates: across } : { type: 'LineString', coordinates: line },
    });
  });
}

test.each([true, false])(
  'a road is drawn once, in runs of 24 to 54 pixels or whole (measures known: %s)',
  async (known) => {
    const road = longRoad(known);
    const wholeKm = 400;
    for (const zoom of ZOOMS) {
      const runs = await runsOf(road, zoom);
      const wholePx = (wholeKm * 512 * 2 ** zoom) / (360 * KM_PER_DEGREE * Math.cos((35 * Math.PI) / 180));
      const lengths = runs.map((run) => lengthPx(run.geometry, zoom));
      const drawn = lengths.reduce((sum, length) => sum + length, 0);
      // Parallel joints would double it; a run may end a pixel or three short of the next.
      expect(drawn / wholePx).toBeGreaterThan(0.9);
      expect(drawn / wholePx).toBeLessThan(1.05);
      expect(Math.max(...lengths)).toBeLessThan(60);
      if (runs.length > 1) expect(Math.min(...lengths)).toBeGreaterThan(20);
      expect(runs.reduce((sum, run) => sum + run.segments, 0)).toBe(2400);
    }
  },
);

test('what is smaller than a pixel is still drawn, at least two pixels long', async () => {
  const tiny = segment('S1', {
    geometry: {
      type: 'LineString',
      coordinates: [
        [-97, 35],
        [-97, 35.00001],
      ],
    },
  });
  for (const zoom of ZOOMS) {
    const [run] = await runsOf([tiny], zoom);
    expect(lengthPx(run.geometry, zoom)).toBeGreaterThan(1.9);
  }
});

test('a real gap stays a gap', async () => {
  const at = (id: string, lon: number, beginM: number) =>
    segment(id, {
      beginM,
      endM: beginM + 500,
      geometry: {
        type: 'LineString',
        coordinates: [
          [lon, 35],
          [lon + 0.0055, 35],
        ],
      },
    });
  // At zoom 11 a pixel is 31 m here; 600 m between the two are 19 pixels.
  const [run] = await runsOf([at('S1', -97, 0), at('S2', -97 + 0.0121, 1100)], 11);
  expect(run.segments).toBe(2);
  expect(partsOf(run.geometry).length).toBe(2);
});

test('both arms of a road that turns back are drawn', async () => {
  const arm = (id: string, lat: number) =>
    segment(id, {
      beginM: null,
      endM: null,
      geometry: {
        type: 'LineString',
        coordinates: [
          [-97, lat],
          [-96.99, lat],
        ],
      },
    });
  const runs = await runsOf([arm('S1', 35), arm('S2', 35.006)], 11);
  const lats = new Set(runs.flatMap((run) => partsOf(run.geometry).flat()).map(([, lat]) => lat.toFixed(3)));
  expect(lats).toEqual(new Set(['35.000', '35.006']));
});

test('a line is simplified to what lies within the tolerance', () => {
  // By hand: the bump of 0.5 goes, the corner of 5 stays.
  expect(simplified([0, 0, 5, 0.5, 10, 0, 15, 5, 20, 0], 1)).toEqual([0, 0, 10, 0, 15, 5, 20, 0]);
});
