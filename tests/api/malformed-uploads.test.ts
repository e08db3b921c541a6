import { afterAll, beforeAll, expect, test } from 'vitest';
import { getJson } from './demo-app.ts';
import { commit, LOOPBACK, load, preview, upload } from './load-over-http.ts';
import { SEALS_CSV, SEGMENTS_GEOJSON, SMALL_AGENCY } from './small-agency.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
beforeAll(async () => {
  server = await startApp();
  await load(server, SMALL_AGENCY);
});
afterAll(() => server.close());

const state = async () => [await getJson(server, '/api/records'), await getJson(server, '/api/version')];

test.each([
  ['random.bin', String.fromCharCode(...Array.from({ length: 400 }, (_, i) => (i * 7919) % 256))],
  ['nul.csv', 'id,kind\u0000,name\nA,highway\u0000,B\n'],
  ['half.geojson', SEGMENTS_GEOJSON.slice(0, SEGMENTS_GEOJSON.length / 2).replaceAll('H1', 'H2')],
  ['deep.geojson', '['.repeat(100_000)],
  ['../../../../etc/cron.d/evil.csv', 'id,kind,name,district\nA,canal,B,C\n'],
  ['\u202Evsc.evil\r\n"; filename="a', 'id,kind,name,district\nA,canal,B,C\n'],
  ['strangers.csv', SEALS_CSV.replaceAll(/^S/gm, 'X')],
])('%j is previewed and loaded without a fault, and writes nothing', async (name, content) => {
  const before = await state();
  const ready = await preview(server, { [name]: content });
  expect([ready.state, ready.error]).toEqual(['ready', null]);
  expect(ready.files[0].file).toBe(name);
  expect(ready.files[0].problems.length).toBeGreaterThan(0);
  const done = await commit(server, ready);
  expect([done.state, done.error]).toEqual(['done', null]);
  expect(await state()).toEqual(before);
  const refused = await server.app.inject({
    url: `/api/loads/${done.id}/refused/${done.files[0].uploadId}`,
    headers: LOOPBACK,
  });
  expect([200, 404]).toContain(refused.statusCode);
  if (refused.statusCode === 200) {
    expect(refused.headers['content-disposition']).toMatch(/^attachment; filename="[\w.-]+-refused\.csv"$/);
  }
});

test('columns and units that do not exist are noted, not obeyed', async () => {
  const before = await state();
  const choice = {
    columns: { segmentId: '__proto__', installed: 'constructor', nowhere: 'id' },
    units: { toString: 'mm', widthMm: 'F' },
  } as const;
  const ready = await preview(server, { 'seals.csv': SEALS_CSV }, choice);
  expect([ready.state, ready.error]).toEqual(['ready', null]);
  expect(ready.files[0].notes.join(' ')).toContain('__proto__');
  expect(await state()).toEqual(before);
});

test.each(['', 'x'.repeat(256)])('a file name of length $length is refused', async (name) => {
  expect((await upload(server, name, 'id\n')).statusCode).toBe(400);
});
