import { parse } from 'csv-parse/sync';
import ICAL from 'ical.js';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Closure } from '../../server/schemas/closures.ts';
import { sampleClosure, sampleRules, sampleSchedule, storedClosure } from '../unit/server/store/sample-closures.ts';
import { loadNetwork, sampleNetwork } from '../unit/server/store/sample-network.ts';
import { sender } from './closure-agency.ts';
import { startApp, type TestApp } from './start-app.ts';

const PLAN = 'plan-1';
let server: TestApp;
let send: ReturnType<typeof sender>;
let closures: Closure[];
beforeAll(async () => {
  server = await startApp();
  send = sender(server);
  const network = sampleNetwork({ segments: 600, seed: 3 });
  await loadNetwork(server.store, network);
  const [one, two] = new Set(network.segments.map(({ facilityId }) => facilityId));
  const plan = {
    id: PLAN,
    name: 'Nächte "Mai" \ud800',
    note: '',
    rules: sampleRules(),
    createdAt: '2026-11-26T09:00:00.000Z',
  };
  await server.store.closures.addClosurePlan(plan);
  const night = (day: string, next: string, facilityId: string, uid: string): Closure => {
    const segments = network.segments.filter((segment) => segment.facilityId === facilityId).slice(0, 5);
    const works = segments.map(({ id }) => ({
      ...{ ...sampleClosure().works[0], segmentId: id },
      ...{ startsAt: `${day}T23:30`, endsAt: `${next}T01:30` },
    }));
    return sampleClosure({
      ...{ id: `${facilityId}@${day}T2300+360`, uid, facilityId, works, note: '=1+1', lengthM: 100 * works.length },
      ...{ startsAt: `${day}T23:00`, endsAt: `${next}T05:00`, opensAt: `${next}T02:30` },
    });
  };
  closures = [night('2027-05-03', '2027-05-04', one, 'a'), night('2027-05-05', '2027-05-06', two, 'b')];
  const gone = storedClosure({ id: 'gone', uid: 'c', facilityId: two }, true);
  const schedule = sampleSchedule(PLAN, [...closures.map((closure) => storedClosure(closure)), gone]);
  const note = { sentence: 'Scheduled.', closureId: null, changedAt: '2026-11-26T10:00:00.000Z' };
  await server.store.closures.writeSchedule(PLAN, 1, schedule, note);
});
afterAll(() => server.close());

const eventsOf = (text: string) => new ICAL.Component(ICAL.parse(text)).getAllSubcomponents('vevent');
const uidsOf = (text: string) =>
  eventsOf(text)
    .map((event) => event.getFirstPropertyValue('uid'))
    .sort();

describe('the calendar', () => {
  test('can be subscribed to: one address, the same bytes until something changes', async () => {
    const first = await send('GET', `/api/calendar/${PLAN}.ics`);
    expect([first.statusCode, first.headers['content-type']]).toEqual([200, expect.stringMatching(/^text\/calendar/)]);
    expect(uidsOf(first.body)).toEqual(['a', 'b', 'c']);
    const again = await server.app.inject({
      url: `/api/calendar/${PLAN}.ics`,
      headers: { host: 'localhost', 'if-none-match': `W/${first.headers.etag}` },
    });
    expect([again.statusCode, again.body]).toEqual([304, '']);
    const moved = { startsAt: '2027-05-10T23:00' };
    const url = `/api/closure-plans/${PLAN}/closures/${encodeURIComponent(closures[0].id)}`;
    expect((await send('PATCH', url, moved, '"2"')).statusCode).toBe(200);
    const after = await send('GET', `/api/calendar/${PLAN}.ics`);
    expect(after.headers.etag).not.toBe(first.headers.etag);
    const event = eventsOf(after.body).find((each) => each.getFirstPropertyValue('uid') === 'a');
    expect(event?.getFirstPropertyValue('sequence')).toBe(1);
    expect(String(event?.getFirstPropertyValue('dtstart'))).toBe('2027-05-10T23:00:00');
  });

  test('of one facility holds its closures and what was cancelled of them', async () => {
    const { body } = await send(
      'GET',
      `/api/export/closures/${PLAN}.ics?facility=${encodeURIComponent(closures[1].facilityId)}`,
    );
    expect(uidsOf(body)).toEqual(['b', 'c']);
    expect(uidsOf((await send('GET', `/api/export/closures/${PLAN}.ics?facility=none`)).body)).toEqual([]);
  });
});

test('the table has a row for each piece of work, and no cell that a spreadsheet would run', async () => {
  for (const [units, column, first] of [
    ['si', 'lengthM', '100'],
    ['us', 'lengthFt', '328.084'], // 100 m over 0.3048 m
  ]) {
    const { body } = await send('GET', `/api/export/closures/${PLAN}.csv?units=${units}`);
    const rows = parse(body, { columns: true }) as Record<string, string>[];
    expect(rows).toHaveLength(closures.reduce((sum, { works }) => sum + works.length, 0));
    expect([rows[0][column], rows[0].note, rows[0].timeZone]).toEqual([first, "'=1+1", 'America/Chicago']);
  }
});

describe('packets', () => {
  const bytesOf = async (url: string): Promise<Buffer> => {
    const answer = await send('GET', url);
    expect([answer.statusCode, answer.headers['content-type']]).toEqual([200, 'application/pdf']);
    expect(answer.rawPayload.subarray(0, 5).toString()).toBe('%PDF-');
    return answer.rawPayload;
  };

  test('of all closures and of one are documents, the same each time', async () => {
    const all = await bytesOf(`/api/export/closures/${PLAN}.pdf`);
    expect(await bytesOf(`/api/export/closures/${PLAN}.pdf`)).toEqual(all);
    const one = await bytesOf(`/api/export/closures/${PLAN}/${encodeURIComponent(closures[1].id)}.pdf?units=us`);
    expect(one.length).toBeLessThan(all.length);
    const [{ facilityId }] = closures;
    const few = `/api/export/closures/${PLAN}.pdf?facility=${encodeURIComponent(facilityId)}&from=2027-05-01&to=2027-05-04`;
    expect((await bytesOf(few)).length).toBeLessThan(all.length);
  });

  test('of more closures than one file holds are refused, with how to ask for less', async () => {
    const id = 'many';
    const plan = { id, name: 'Many', note: '', rules: sampleRules(), createdAt: '2026-11-26T09:00:00.000Z' };
    await server.store.closures.addClosurePlan(plan);
    const many = Array.from({ length: 201 }, (_, i) => storedClosure({ id: `F0@${i}`, uid: `many-${i}` }));
    const note = { sentence: 'Scheduled.', closureId: null, changedAt: '2026-11-26T10:00:00.000Z' };
    await server.store.closures.writeSchedule(id, 1, sampleSchedule(id, many), note);
    const all = await send('GET', `/api/export/closures/${id}.pdf`);
    expect([all.statusCode, all.json().detail]).toEqual([
      422,
      expect.stringMatching(/^201 packets .* most is 200.*from=/),
    ]);
    expect((await send('GET', `/api/export/closures/${id}.pdf?from=2027-05-04`)).statusCode).toBe(200);
    expect((await send('GET', `/api/export/closures/${id}.pdf?from=May`)).statusCode).toBe(400);
  });
});

test.each([
  ['/api/calendar/none.ics', 404],
  ['/api/export/closures/none.csv', 404],
  ['/api/export/closures/none.pdf', 404],
  [`/api/export/closures/${PLAN}/none.pdf`, 404],
  [`/api/export/closures/${PLAN}.csv?units=feet`, 400],
  [`/api/calendar/${PLAN}.ics?facility=`, 400],
  [`/api/calendar/${PLAN}.ics?other=1`, 400],
  [`/api/export/closures/${PLAN}/%00.pdf`, 404],
])('%s is refused with %i as a problem', async (url, status) => {
  const answer = await send('GET', url);
  expect([answer.statusCode, answer.headers['content-type']]).toEqual([
    status,
    expect.stringContaining('problem+json'),
  ]);
});
