import { createReadStream } from 'node:fs';
import path from 'node:path';
import { createInterface } from 'node:readline';
import { expect, test } from 'vitest';
import { type Figure, keepFigures, spreadOf } from './figures.ts';
import { forecastNetwork, networkFiles } from './network.ts';
import { type BenchServer, startServer } from './server-process.ts';

const ZOOMS = [4, 6, 8, 10, 11, 12, 13, 14, 16];
const TILES_EACH = 40;
const FILTER = 'sealantClass=hot-applied-type-2&minAgeYears=3';

type Tile = `${number}/${number}/${number}`;

/** Tiles that hold joints: those of every so many segments of the file. */
async function tilesWithJoints(): Promise<Map<number, Tile[]>> {
  const { folder, counts } = await networkFiles();
  const every = Math.floor(counts.segments / 400);
  const found = new Map(ZOOMS.map((zoom) => [zoom, new Set<Tile>()]));
  const lines = createInterface({ input: createReadStream(path.join(folder, 'segments.geojson')) });
  let count = 0;
  for await (const line of lines) {
    const position = /"coordinates":\[+(-?[\d.]+),(-?[\d.]+)/.exec(line);
    if (!position || count++ % every !== 0) continue;
    for (const [zoom, tiles] of found) tiles.add(tileAt(zoom, Number(position[1]), Number(position[2])));
  }
  return new Map([...found].map(([zoom, tiles]) => [zoom, [...tiles].slice(0, TILES_EACH)]));
}

/** OGC WebMercatorQuad. */
function tileAt(zoom: number, lon: number, lat: number): Tile {
  const size = 2 ** zoom;
  const sine = Math.sin((lat * Math.PI) / 180);
  const x = Math.floor(((lon + 180) / 360) * size);
  const y = Math.floor((0.5 - Math.log((1 + sine) / (1 - sine)) / (4 * Math.PI)) * size);
  return `${zoom}/${x}/${y}`;
}

interface Fetched {
  readonly milliseconds: number[];
  readonly kilobytes: number[];
}

async function fetchAll(server: BenchServer, tiles: readonly Tile[], query: string): Promise<Fetched> {
  const out: Fetched = { milliseconds: [], kilobytes: [] };
  for (const tile of tiles) {
    const began = performance.now();
    const response = await server.get(`/api/tiles/${tile}.mvt?${query}`, { 'accept-encoding': 'gzip' });
    await response.arrayBuffer();
    out.milliseconds.push(performance.now() - began);
    expect([200, 204]).toContain(response.status);
    out.kilobytes.push(Number(response.headers.get('content-length') ?? 0) / 1024);
  }
  return out;
}

test('makes map tiles of 100,000 segments', async () => {
  const tiles = await tilesWithJoints();
  const server = await startServer(await forecastNetwork('tiles'));
  const figures: Figure[] = [];
  try {
    await server.get('/api/version');
    for (const [zoom, addresses] of tiles) {
      const cold = await fetchAll(server, addresses, '');
      const warm = await fetchAll(server, addresses, '');
      const [coldMs, warmMs, kilobytes] = [cold.milliseconds, warm.milliseconds, cold.kilobytes].map(spreadOf);
      figures.push(
        { what: `zoom ${zoom}, ${addresses.length} tiles: made, middle`, value: coldMs.p50, unit: 'ms' },
        { what: `zoom ${zoom}: made, 95 of 100`, value: coldMs.p95, unit: 'ms' },
        { what: `zoom ${zoom}: kept, middle`, value: warmMs.p50, unit: 'ms' },
        { what: `zoom ${zoom}: weight as sent, middle`, value: kilobytes.p50, unit: 'KB' },
        { what: `zoom ${zoom}: weight as sent, most`, value: kilobytes.most, unit: 'KB' },
      );
    }
    const before = performance.now();
    await fetchAll(server, (tiles.get(6) ?? []).slice(0, 1), FILTER);
    figures.push({ what: 'first tile under a new filter', value: performance.now() - before, unit: 'ms' });
    for (const zoom of [6, 10, 13]) {
      const { milliseconds } = await fetchAll(server, tiles.get(zoom) ?? [], FILTER);
      const { p50, p95 } = spreadOf(milliseconds);
      figures.push(
        { what: `zoom ${zoom} under a filter: made, middle`, value: p50, unit: 'ms' },
        { what: `zoom ${zoom} under a filter: made, 95 of 100`, value: p95, unit: 'ms' },
      );
    }
    figures.push({ what: 'most memory of the server', value: server.use().peakRssMb, unit: 'MB' });
    await keepFigures('tiles', figures);
  } finally {
    await server.stop();
  }
});
