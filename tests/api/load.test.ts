import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { LOOPBACK, load, preview, upload } from './load-over-http.ts';
import { FACILITIES_CSV, SEALS_CSV, SEGMENTS_GEOJSON, SMALL_AGENCY } from './small-agency.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
beforeEach(async () => {
  server = await startApp({ maxUploadBytes: 1_000_000 });
});
afterEach(() => server.close());

const counts = async () => (await server.app.inject({ url: '/api/records', headers: LOOPBACK })).json();

describe('loading over HTTP', () => {
  test('a preview counts and writes nothing; the commit writes everything', async () => {
    const ready = await preview(server, SMALL_AGENCY);
    expect(ready.state).toBe('ready');
    expect(ready.files.map((file) => [file.kind, file.rowsAccepted, file.rowsRefused])).toEqual([
      ['facilities', 1, 0],
      ['segments', 3, 0],
      ['seals', 3, 0],
      ['inspections', 6, 0],
      ['unit-costs', 2, 0],
    ]);
    expect(await counts()).toMatchObject({ segments: 0, seals: 0 });
    const done = await load(server, SMALL_AGENCY);
    expect(done.result?.map((line) => line.inserted)).toEqual([1, 3, 3, 6, 2]);
    expect(await counts()).toEqual({
      facilities: 1,
      segments: 3,
      seals: 3,
      inspections: 6,
      stations: 0,
      climate: 0,
      'unit-costs': 2,
    });
  });

  test('the same files again change nothing; a changed file says how many rows it updated', async () => {
    await load(server, SMALL_AGENCY);
    const again = await load(server, SMALL_AGENCY);
    expect(again.result?.map(({ inserted, updated, unchanged }) => [inserted, updated, unchanged])).toEqual([
      [0, 0, 1],
      [0, 0, 3],
      [0, 0, 3],
      [0, 0, 6],
      [0, 0, 2],
    ]);
    const changed = await load(server, { 'facilities.csv': FACILITIES_CSV.replace('8000', '9000') });
    expect(changed.result).toMatchObject([{ inserted: 0, updated: 1, unchanged: 0 }]);
  });

  test('refused rows come back as CSV with the reason, and load once mended', async () => {
    await load(server, { 'facilities.csv': FACILITIES_CSV, 'segments.geojson': SEGMENTS_GEOJSON });
    const flawed = SEALS_CSV.replace('2012-06-10', '2012-02-30');
    const loaded = await load(server, { 'seals.csv': flawed });
    expect(loaded.result).toMatchObject([{ inserted: 2, refused: 1 }]);
    expect(loaded.files[0].problems[0]).toMatchObject({ file: 'seals.csv', row: 2, found: '2012-02-30' });
    const refused = await server.app.inject({
      url: `/api/loads/${loaded.id}/refused/${loaded.files[0].uploadId}`,
      headers: LOOPBACK,
    });
    expect(refused.statusCode).toBe(200);
    expect(refused.headers['content-type']).toContain('text/csv');
    expect(refused.body).toContain('reason');
    const mended = await load(server, { 'mended.csv': refused.body.replaceAll('2012-02-30', '2012-02-28') });
    expect(mended.result).toMatchObject([{ inserted: 1, refused: 0 }]);
  });

  test('a width of half an inch given as millimetres is refused with a hint, and accepted once the unit is said', async () => {
    const inches = SEGMENTS_GEOJSON.replaceAll('"widthMm":10', '"width":0.5');
    const files = { 'facilities.csv': FACILITIES_CSV, 'segments.geojson': inches };
    const first = await preview(server, files);
    expect(first.files[1].rowsRefused).toBe(3);
    expect(first.files[1].problems[0].hint).toMatch(/inch/i);
    const again = await server.app.inject({
      method: 'PUT',
      url: `/api/loads/${first.id}`,
      headers: LOOPBACK,
      payload: { choices: first.choices.map((c, i) => (i === 1 ? { ...c, units: { widthMm: 'in' } } : c)) },
    });
    expect(again.statusCode).toBe(202);
    await server.jobs.ended(again.json().jobId);
    const second = (await server.app.inject({ url: `/api/loads/${first.id}`, headers: LOOPBACK })).json();
    expect(second.files[1]).toMatchObject({ rowsAccepted: 3, rowsRefused: 0 });
  });

  test('an upload over the limit is refused with 413 and leaves nothing; an empty one with 400', async () => {
    const large = await upload(server, 'large.csv', Buffer.alloc(1_000_001, 'a'));
    expect(large.statusCode).toBe(413);
    expect(large.json()).toMatchObject({ title: expect.any(String), detail: expect.stringContaining('limit') });
    expect((await upload(server, 'empty.csv', '')).statusCode).toBe(400);
  });

  test('two commits at once load once; the other is refused', async () => {
    const ready = await preview(server, SMALL_AGENCY);
    const commit = () => server.app.inject({ method: 'POST', url: `/api/loads/${ready.id}/commit`, headers: LOOPBACK });
    const answers = await Promise.all([commit(), commit(), commit()]);
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([202, 409, 409]);
    const { jobId } = answers.find(({ statusCode }) => statusCode === 202)?.json() ?? {};
    await server.jobs.ended(jobId);
    const done = (await server.app.inject({ url: `/api/loads/${ready.id}`, headers: LOOPBACK })).json();
    expect(done.result.map((line: { inserted: number }) => line.inserted)).toEqual([1, 3, 3, 6, 2]);
  });

  test('a load put aside takes its files with it, and can be asked for no longer', async () => {
    const ready = await preview(server, SMALL_AGENCY);
    const remove = () => server.app.inject({ method: 'DELETE', url: `/api/loads/${ready.id}`, headers: LOOPBACK });
    expect((await remove()).statusCode).toBe(204);
    const commit = await server.app.inject({ method: 'POST', url: `/api/loads/${ready.id}/commit`, headers: LOOPBACK });
    expect(commit.statusCode).toBe(409);
    const again = await server.app.inject({
      method: 'PUT',
      url: `/api/loads/${ready.id}`,
      headers: LOOPBACK,
      payload: { choices: ready.choices },
    });
    expect([again.statusCode, again.json().detail]).toEqual([400, expect.stringContaining('Send the file first')]);
    expect(await counts()).toMatchObject({ segments: 0 });
  });

  test('a load that is done cannot be committed again, and one that is not there is 404', async () => {
    const done = await load(server, { 'facilities.csv': FACILITIES_CSV });
    const again = await server.app.inject({ method: 'POST', url: `/api/loads/${done.id}/commit`, headers: LOOPBACK });
    expect(again.statusCode).toBe(409);
    const none = await server.app.inject({ method: 'POST', url: '/api/loads/nothing/commit', headers: LOOPBACK });
    expect(none.statusCode).toBe(404);
  });
});
