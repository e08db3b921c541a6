import { gunzipSync } from 'node:zlib';
import { VectorTile, type VectorTileFeature } from '@mapbox/vector-tile';
import { PbfReader } from 'pbf';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import type { SegmentPage, Summary } from '../../server/schemas/forecast.ts';
import type { LineGeometry } from '../../server/schemas/segment.ts';
import type { Settings } from '../../server/schemas/settings.ts';
import { getJson, queryOf, quietly, startDemo } from './demo-app.ts';
import { LOOPBACK, load } from './load-over-http.ts';
import type { TestApp } from './start-app.ts';

let server: TestApp;
beforeAll(async () => {
  server = await startDemo();
});
afterAll(() => server.close());

interface Address {
  z: number;
  x: number;
  y: number;
}
const ask = ({ z, x, y }: Address, query = '', headers: Record<string, string> = {}) =>
  server.app.inject({ url: `/api/tiles/${z}/${x}/${y}.mvt?${query}`, headers: { ...LOOPBACK, ...headers } });

async function features(address: Address, query = ''): Promise<VectorTileFeature[]> {
  const answer = await ask(address, query);
  if (answer.statusCode === 204) return [];
  expect(answer.statusCode).toBe(200);
  const { layers } = new VectorTile(new PbfReader(gunzipSync(answer.rawPayload)));
  expect(Object.keys(layers)).toEqual([address.z < 12 ? 'runs' : 'segments']);
  const [layer] = Object.values(layers);
  return Array.from({ length: layer.length }, (_, i) => layer.feature(i));
}

const WORLD: Address = { z: 0, x: 0, y: 0 };

describe('runs, below zoom 12', () => {
  test.each([
    {},
    { district: 'Coast District' },
    { jointType: 'longitudinal' },
    { minDueYear: 2030 },
    { search: 'runway', minAgeYears: 2 },
    { minDamagedShare: 0.05 },
  ])('the segments of all runs of the world tile under %j are those of the totals', async (filter) => {
    const runs = await features(WORLD, queryOf(filter));
    const { segments, sealedLengthM } = await getJson<Summary>(server, `/api/summary?${queryOf(filter)}`);
    expect(segments).toBeGreaterThan(0);
    expect(runs.reduce((sum, { properties }) => sum + Number(properties.segments), 0)).toBe(segments);
    const lengthM = runs.reduce((sum, { properties }) => sum + Number(properties.lengthM), 0);
    expect(Math.abs(lengthM - sealedLengthM)).toBeLessThanOrEqual(runs.length / 2); // each is rounded to a metre
  });

  test('a filter that keeps nothing gives an empty tile', async () => {
    expect((await ask(WORLD, 'district=Nowhere')).statusCode).toBe(204);
  });
});

const lines = ({ type, coordinates }: LineGeometry) =>
  (type === 'LineString' ? [coordinates] : coordinates) as number[][][];

/** Web Mercator (OGC WebMercatorQuad): where a position lies in the grid of a zoom, in tiles from the north-west. */
function gridPosition(z: number, [lon, lat]: number[]): [number, number] {
  const radians = (lat * Math.PI) / 180;
  return [((lon + 180) / 360) * 2 ** z, ((1 - Math.asinh(Math.tan(radians)) / Math.PI) / 2) * 2 ** z];
}

describe('segments, from zoom 12 on', () => {
  test('a tile of zoom 14 holds each segment with a corner in it, and none that lies well outside', async () => {
    const url = '/api/export/segments.geojson';
    const { features: all } = await getJson<{ features: { id: string; geometry: LineGeometry }[] }>(server, url);
    const tiles = new Map<string, Address>();
    for (const { geometry } of all.filter((_, i) => i % 9 === 0)) {
      const [x, y] = gridPosition(14, lines(geometry)[0][0]).map(Math.floor);
      tiles.set(`${x}/${y}`, { z: 14, x, y });
    }
    expect(tiles.size).toBeGreaterThan(15);
    for (const address of tiles.values()) {
      const found = new Set((await features(address)).map(({ properties }) => properties.id));
      for (const { id, geometry } of all) {
        const offsets = lines(geometry)
          .flat()
          .map((position) => gridPosition(14, position))
          .map(([x, y]) => [x - address.x, y - address.y]);
        if (offsets.some(([x, y]) => x >= 0 && x < 1 && y >= 0 && y < 1)) expect(found).toContain(id);
        const clear = [0, 1].some(
          (axis) => offsets.every((at) => at[axis] < -0.02) || offsets.every((at) => at[axis] > 1.02),
        );
        if (clear) expect(found).not.toContain(id);
      }
    }
  });

  test('a feature carries what the list says of its segment', async () => {
    const { items } = await getJson<SegmentPage>(server, '/api/segments?limit=1000');
    const { features: all } = await getJson<{ features: { id: string; geometry: LineGeometry }[] }>(
      server,
      '/api/export/segments.geojson',
    );
    const [x, y] = gridPosition(14, lines(all[0].geometry)[0][0]).map(Math.floor);
    const drawn = await features({ z: 14, x, y });
    expect(drawn.length).toBeGreaterThan(0);
    for (const { properties } of drawn) {
      const row = items.find(({ id }) => id === properties.id);
      expect(properties).toMatchObject({
        facility: row?.facilityId,
        kind: row?.facilityKind,
        jointType: row?.jointType,
      });
      expect([properties.class ?? null, properties.due ?? null]).toEqual([row?.sealantClass, row?.dueYear]);
      if (row?.failedNowProbability !== null) expect(String(properties.p)).toHaveLength(21); // this year and 20 more
    }
  });
});

describe('answers', () => {
  test('a tile is gzip, typed, and checked anew by its tag', async () => {
    const first = await ask(WORLD);
    expect(first.headers).toMatchObject({
      'content-type': 'application/vnd.mapbox-vector-tile',
      'content-encoding': 'gzip',
      'cache-control': 'no-cache',
    });
    const etag = String(first.headers.etag);
    expect(etag).toMatch(/^"[\w-]+"$/);
    const again = await ask(WORLD, '', { 'if-none-match': etag });
    expect([again.statusCode, again.body, again.headers.etag]).toEqual([304, '', etag]);
    const weak = await ask(WORLD, '', { 'if-none-match': `W/${etag}, "other"` });
    expect(weak.statusCode).toBe(304); // RFC 9110, 13.1.2: a list, compared weakly
    expect((await ask(WORLD, '', { 'if-none-match': '"other"' })).statusCode).toBe(200);
  });

  test('the parameter that lets a page ask anew changes nothing', async () => {
    expect((await ask(WORLD, 'v=d7m2')).headers.etag).toBe((await ask(WORLD)).headers.etag);
  });

  test.each(['1/2/0', '0/0/1', '23/0/0', '4/0/16'])('%s is outside the grid: 404', async (address) => {
    const answer = await server.app.inject({ url: `/api/tiles/${address}.mvt`, headers: LOOPBACK });
    expect([answer.statusCode, answer.json().type]).toEqual([404, '/api/docs#not-found']);
  });

  test.each(['-1/0/0', '0/0.5/0', 'a/0/0', '0/0/9999999'])('%s is no address of a tile: 400', async (address) => {
    const answer = await server.app.inject({ url: `/api/tiles/${address}.mvt`, headers: LOOPBACK });
    expect(answer.statusCode).toBe(400);
  });

  test('a tile of the sea is 204', async () => {
    expect((await ask({ z: 14, x: 0, y: 8000 })).statusCode).toBe(204);
  });

  test('the same tile asked for many times at once comes out the same', async () => {
    const answers = await Promise.all(Array.from({ length: 40 }, () => ask(WORLD, 'jointType=longitudinal')));
    expect(new Set(answers.map(({ statusCode }) => statusCode))).toEqual(new Set([200]));
    expect(new Set(answers.map(({ rawPayload }) => rawPayload.toString('base64'))).size).toBe(1);
  });

  test('tiles.json points at tiles that are there, with the bounds of the network', async () => {
    const found = await getJson<{ tiles: string[]; bounds: number[]; vector_layers: { id: string }[] }>(
      server,
      '/api/tiles.json',
    );
    expect(found.tiles).toEqual(['http://127.0.0.1/api/tiles/{z}/{x}/{y}.mvt']);
    expect(found.bounds).toEqual(await getJson(server, '/api/bounds'));
    expect(found.vector_layers.map(({ id }) => id)).toEqual(['runs', 'segments']);
  });
});

test('a tag changes with the bytes of its tile, and only then', async () => {
  const { items } = await getJson<SegmentPage>(server, '/api/segments?limit=1000');
  const { features: all } = await getJson<{ features: { id: string; geometry: LineGeometry }[] }>(
    server,
    '/api/export/segments.geojson',
  );
  const tileOf = (id: string): Address => {
    const geometry = all.find((feature) => feature.id === id)?.geometry;
    if (!geometry) throw new Error(`no geometry of ${id}`);
    const [x, y] = gridPosition(14, lines(geometry)[0][0]).map(Math.floor);
    return { z: 14, x, y };
  };
  const edited = items.find(({ district }) => district === 'Coast District');
  const far = items.find(({ district }) => district === 'North Moraine District');
  if (!edited || !far) throw new Error('the sample has no such districts');
  const tags = async () =>
    (await Promise.all([tileOf(edited.id), tileOf(far.id)].map((address) => ask(address)))).map(
      ({ headers }) => headers.etag,
    );
  const before = await tags();

  const facilities = await getJson<{ id: string; name: string; kind: string; district: string }[]>(
    server,
    '/api/facilities',
  );
  const owner = facilities.find(({ id }) => id === edited.facilityId);
  const { segment } = await getJson<{ segment: Record<string, unknown> }>(server, `/api/segments/${edited.id}`);
  const { geometry, sourceFile: _file, sourceRow: _row, ...properties } = segment;
  const feature = { type: 'Feature', id: edited.id, geometry, properties: { ...properties, sealedLengthM: 1.5 } };
  expect(owner).toBeDefined();
  const loaded = await load(server, {
    'changed.geojson': JSON.stringify({ type: 'FeatureCollection', features: [feature] }),
  });
  expect(loaded.result).toMatchObject([{ kind: 'segments', updated: 1, refused: 0 }]);
  const after = await tags();
  expect(after[0]).not.toBe(before[0]);
  expect(after[1]).toBe(before[1]);

  const settings = await getJson<Settings>(server, '/api/settings');
  await runForecast(quietly(server));
  const known = await tags();
  await runForecast(quietly(server)); // the same numbers: the same bytes
  expect(await tags()).toEqual(known);
  const put = { ...settings, planningDate: '2034-07-01' };
  await server.app.inject({ method: 'PUT', url: '/api/settings', headers: LOOPBACK, payload: put });
  await runForecast(quietly(server));
  const later = await tags();
  expect([later[0] === known[0], later[1] === known[1]]).toEqual([false, false]);
});
