import { test } from 'vitest';
import type { SegmentPage } from '../../server/schemas/forecast.ts';
import { type Figure, keepFigures, spreadOf } from './figures.ts';
import { forecastNetwork } from './network.ts';
import { type BenchServer, startServer } from './server-process.ts';

const PAGES = 100;
const FILTERS = [
  'district=Dry%20Plains%20District',
  'jointType=longitudinal',
  'sealantClass=silicone-self-levelling&minAgeYears=5',
  'minDamagedShare=0.1',
  'minDueYear=2028&maxDueYear=2031',
  'facilityKind=bridge&sealantClass=polysulfide',
  'search=AP1',
  'jointType=longitudinal&minDueYear=2027&maxAgeYears=12&minDamagedShare=0.02',
];

/** Milliseconds of one request, its body read. */
async function timed(server: BenchServer, path: string): Promise<{ milliseconds: number; text: string }> {
  const began = performance.now();
  const response = await server.get(path, { 'accept-encoding': 'gzip' });
  const text = await response.text();
  if (!response.ok) throw new Error(`${path} answered ${response.status}: ${text}`);
  return { milliseconds: performance.now() - began, text };
}

/** Goes through pages as far down as they are asked for, as a scrolling reader does. */
async function pageDown(server: BenchServer, query: string): Promise<{ milliseconds: number[]; ids: string[] }> {
  const milliseconds: number[] = [];
  const ids: string[] = [];
  let after = '';
  for (let page = 0; page < PAGES; page++) {
    const answer = await timed(server, `/api/segments?limit=200&${query}${after && `&after=${after}`}`);
    milliseconds.push(answer.milliseconds);
    const { items, next } = JSON.parse(answer.text) as SegmentPage;
    ids.push(...items.slice(0, 2).map(({ id }) => id));
    if (next === null) break;
    after = encodeURIComponent(next);
  }
  return { milliseconds, ids };
}

test('lists, totals and cards of 100,000 segments', async () => {
  const server = await startServer(await forecastNetwork('lists'));
  const figures: Figure[] = [];
  const add = (what: string, milliseconds: readonly number[]) => {
    const { p50, p95, most } = spreadOf(milliseconds);
    figures.push(
      { what: `${what}, middle`, value: p50, unit: 'ms' },
      { what: `${what}, 95 of 100`, value: p95, unit: 'ms' },
      { what: `${what}, longest`, value: most, unit: 'ms' },
    );
  };
  try {
    add('totals, the first time', [(await timed(server, '/api/summary')).milliseconds]);
    let ids: string[] = [];
    for (const query of ['sort=id', 'sort=dueYear&descending=true', 'sort=damagedShare&jointType=longitudinal']) {
      const pages = await pageDown(server, query);
      add(`pages of 200 rows (${query})`, pages.milliseconds);
      ids = [...ids, ...pages.ids];
    }
    const totals: number[] = [];
    for (const filter of FILTERS) totals.push((await timed(server, `/api/summary?${filter}`)).milliseconds);
    add('totals under a new filter', totals);
    const cards: number[] = [];
    for (const id of ids) cards.push((await timed(server, `/api/segments/${encodeURIComponent(id)}`)).milliseconds);
    add('card of a segment', cards);
    add('budget', [(await timed(server, '/api/budget')).milliseconds]);
    add('all segments as CSV', [(await timed(server, '/api/export/segments.csv')).milliseconds]);
    figures.push({ what: 'most memory of the server', value: server.use().peakRssMb, unit: 'MB' });
    await keepFigures('lists', figures);
  } finally {
    await server.stop();
  }
});
