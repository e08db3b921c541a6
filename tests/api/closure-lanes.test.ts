import { parse } from 'csv-parse/sync';
import ICAL from 'ical.js';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { schedulePlan } from '../../server/closures/schedule-plan.ts';
import type { ClosureRules } from '../../server/schemas/closure-rules.ts';
import type { Closure, ClosureProduction, Schedule } from '../../server/schemas/closures.ts';
import type { Segment } from '../../server/schemas/segment.ts';
import { sampleRules } from '../unit/server/store/sample-closures.ts';
import { sampleInputs, sampleProgram, sampleWork } from '../unit/server/store/sample-program.ts';
import { facility, loadAll, segment } from '../unit/server/store/sample-records.ts';
import { sender } from './closure-agency.ts';
import { getJson, quietly } from './demo-app.ts';
import { startApp, type TestApp } from './start-app.ts';

type Parts = NonNullable<ClosureRules['parts']>;
const BY_DIRECTION: Parts = {
  ...{ closeBy: 'direction', directionsTogether: false, lanesTogether: false, acrossByHalves: true },
};
const LENGTH_M = 60;

/** Two lanes each way: joints of each lane, one between the lanes, one between the directions, transverse ones across all. */
const joint = (id: string, change: Partial<Segment>) => segment(id, { facilityId: 'H', ...change });
const SEGMENTS = [
  joint('N1', { direction: 'northbound', firstLane: 1, lastLane: 1 }),
  joint('N2', { direction: 'northbound', firstLane: 2, lastLane: 2 }),
  joint('N12', { direction: 'northbound', firstLane: 1, lastLane: 2 }),
  joint('S1', { direction: 'southbound', firstLane: 1, lastLane: 1 }),
  joint('S2', { direction: 'southbound', firstLane: 2, lastLane: 2 }),
  joint('T', { direction: 'both', firstLane: 1, lastLane: 2, jointType: 'transverse-contraction' }),
  joint('C', { direction: 'both', firstLane: 1, lastLane: 1 }),
  joint('X', { direction: null, firstLane: null, lastLane: null }),
  segment('P', { facilityId: 'R', direction: null, firstLane: null, lastLane: null }),
];
const DIRECTED = SEGMENTS.flatMap(({ id, direction }) => (direction === null || direction === 'both' ? [] : [id]));

let server: TestApp;
let send: ReturnType<typeof sender>;
beforeAll(async () => {
  server = await startApp();
  send = sender(server);
  const facilities = [facility('H', { name: 'Highway 7' }), facility('R', { name: 'Runway 1', kind: 'runway' })];
  await loadAll(server.store, [
    { kind: 'facilities', rows: facilities },
    { kind: 'segments', rows: SEGMENTS },
  ]);
  await server.store.writeSettings({ ...(await server.store.readSettings()), planningDate: '2026-07-01' });
  const works = SEGMENTS.map(({ id, facilityId, jointType }) =>
    sampleWork(id, {
      ...{ facilityId, jointType, year: 2027, lengthM: LENGTH_M, sealantClass: 'silicone-self-levelling' },
    }),
  );
  await server.store.addScenario({ id: 's', name: 'Plan', note: '', inputs: sampleInputs(), createdAt: '2026-07-01' });
  await server.store.writeProgram('s', sampleProgram(works));
});
afterAll(() => server.close());

let plans = 0;
async function planned(parts: Parts | null, change: Partial<ClosureRules> = {}) {
  const id = `lanes-${plans++}`;
  const [crew] = sampleRules().crews;
  const rules = sampleRules({
    ...{ noticeDays: 0, leastChance: 0, closuresPerReserve: null, ...(parts ? { parts } : {}) },
    crews: [crew, { ...crew, id: 'crew-2', name: 'Crew 2' }],
    windows: sampleRules().windows.map((window) => ({ ...window, to: '2027-05-14' })),
    ...change,
  });
  await server.store.closures.addClosurePlan({ id, name: 'Nights', note: '', rules, createdAt: '2026-07-01' });
  await schedulePlan(id, quietly(server));
  return { id, schedule: await scheduleOf(id) };
}
const scheduleOf = (id: string) => getJson<Schedule>(server, `/api/closure-plans/${id}/schedule`);
const overlap = (a: Closure, b: Closure): boolean => a.startsAt < b.endsAt && b.startsAt < a.endsAt;
const pairs = (closures: readonly Closure[]): [Closure, Closure][] =>
  closures.flatMap((a, i) =>
    closures.slice(i + 1).flatMap((b): [Closure, Closure][] => (overlap(a, b) ? [[a, b]] : [])),
  );
const onHighway = ({ closures }: Schedule) => closures.filter(({ facilityId }) => facilityId === 'H');
const recordOf = new Map(SEGMENTS.map((each) => [each.id, each]));

/** Metres done of each segment, each metre once. */
function doneOnce({ closures }: Schedule): Map<string, number> {
  const done = new Map<string, [number, number][]>();
  for (const { works } of closures)
    for (const { segmentId, fromM, toM } of works) done.set(segmentId, [...(done.get(segmentId) ?? []), [fromM, toM]]);
  return new Map(
    [...done].map(([id, parts]) => {
      parts.sort(([a], [b]) => a - b);
      for (const [i, [from]] of parts.entries()) expect(from).toBeGreaterThanOrEqual((parts[i - 1]?.[1] ?? 0) - 1e-6);
      return [id, parts.reduce((sum, [from, to]) => sum + to - from, 0)];
    }),
  );
}

describe('closed by direction', () => {
  test('a closure takes one direction; what lies between or tells none closes both; all is done once', async () => {
    const { schedule } = await planned(BY_DIRECTION);
    expect(schedule.unplaced).toEqual([]);
    const done = doneOnce(schedule);
    for (const { id } of SEGMENTS) expect([id, done.get(id)]).toEqual([id, expect.closeTo(LENGTH_M, 6)]);
    for (const { part, works } of onHighway(schedule))
      for (const { segmentId } of works) {
        const direction = part?.direction;
        if (DIRECTED.includes(segmentId))
          expect([segmentId, direction]).toEqual([segmentId, recordOf.get(segmentId)?.direction]);
        else if (segmentId === 'T') expect(['northbound', 'southbound']).toContain(direction);
        else expect([segmentId, direction]).toEqual([segmentId, 'both']);
      }
    const halves = onHighway(schedule).flatMap(({ part, works }) =>
      works.filter(({ segmentId }) => segmentId === 'T').map(({ lengthM }) => [part?.direction, lengthM] as const),
    );
    for (const each of ['northbound', 'southbound'])
      expect(halves.reduce((sum, [direction, m]) => sum + (direction === each ? m : 0), 0)).toBeCloseTo(
        LENGTH_M / 2,
        6,
      );
    expect(pairs(onHighway(schedule))).toEqual([]);
    expect(schedule.closures.find(({ facilityId }) => facilityId === 'R')?.part).toBeNull();
  });

  test('both directions on one night only where the rules allow it, and never beside a closure of both', async () => {
    const few = sampleRules().windows.map((window) => ({ ...window, to: '2027-05-03' }));
    const { schedule } = await planned({ ...BY_DIRECTION, directionsTogether: true }, { windows: few });
    const together = pairs(onHighway(schedule));
    expect(together.length).toBeGreaterThan(0);
    for (const [a, b] of together)
      expect([a.part?.direction, b.part?.direction].sort()).toEqual(['northbound', 'southbound']);
  });
});

describe('closed by lane', () => {
  test('a closure takes the lanes that its joints need, and no more; groups of one direction wait for one another', async () => {
    const { schedule } = await planned({ ...BY_DIRECTION, closeBy: 'lane' });
    expect(schedule.unplaced).toEqual([]);
    const lanes = new Set(onHighway(schedule).map(({ part }) => `${part?.direction} ${part?.lanes.join(' ')}`));
    expect([...lanes].sort()).toEqual([
      // The joint between the directions is in one lane; that without a record makes it all of them.
      ...['both ', 'northbound 1', 'northbound 1 2', 'northbound 2'],
      ...['southbound 1', 'southbound 1 2', 'southbound 2'],
    ]);
    for (const { part, works } of onHighway(schedule))
      for (const { segmentId, firstLane, lastLane } of works) {
        if (part?.direction === 'both') continue;
        expect([segmentId, part?.lanes[0], part?.lanes.at(-1)]).toEqual([segmentId, firstLane, lastLane]);
      }
    expect(pairs(onHighway(schedule))).toEqual([]);
  });

  test('two lanes of a direction close together where that is allowed, never two closures of one lane', async () => {
    const few = sampleRules().windows.map((window) => ({ ...window, to: '2027-05-05' }));
    const parts: Parts = { ...BY_DIRECTION, closeBy: 'lane', lanesTogether: true };
    const { schedule } = await planned(parts, { windows: few });
    const together = pairs(onHighway(schedule));
    expect(together.length).toBeGreaterThan(0);
    for (const [a, b] of together) {
      expect(a.part?.direction).toBe(b.part?.direction);
      expect(a.part?.lanes.filter((lane) => b.part?.lanes.includes(lane))).toEqual([]);
    }
  });
});

test('a plan that does not speak of directions closes the highway as a whole, as ever', async () => {
  const { schedule } = await planned(null);
  for (const { part, id, facilityId } of schedule.closures)
    expect([part, id.split('@')[0]]).toEqual([null, facilityId]);
  const same = await planned({ ...BY_DIRECTION, closeBy: 'facility' });
  expect(same.schedule.closures.map(({ uid: _, ...closure }) => closure)).toEqual(
    schedule.closures.map(({ uid: _, ...closure }) => closure),
  );
});

test('a rule for the facility holds for its directions: barred days, pairs with others, a safety area', async () => {
  const barred = [{ name: 'the fair', facilityId: 'H', from: '2027-05-01', to: '2027-05-04' }];
  const { schedule } = await planned(BY_DIRECTION, {
    ...{ barred, exclusions: [{ facilityIds: ['H', 'R'], reason: 'One stays open' }] },
  });
  for (const closure of onHighway(schedule)) {
    expect(closure.startsAt >= '2027-05-05').toBe(true);
    for (const other of schedule.closures) if (other.facilityId === 'R') expect(overlap(closure, other)).toBe(false);
  }
  const safety = await planned(BY_DIRECTION, {
    safetyAreas: [{ facilityId: 'R', needsClosed: 'H', segmentIds: [], reason: 'The road runs under the approach' }],
  });
  const runway = safety.schedule.closures.filter(({ facilityId }) => facilityId === 'R');
  expect(runway.length).toBeGreaterThan(0);
  for (const closure of runway)
    expect(
      onHighway(safety.schedule)
        .filter((other) => overlap(other, closure))
        .map(({ part }) => part?.direction),
    ).toEqual(['both']);
});

test('a window of one direction is for closures of that direction, and is offered to them alone', async () => {
  const [nights] = sampleRules().windows;
  const windows = [
    { ...nights, directions: ['northbound' as const], to: '2027-05-14' },
    { ...nights, directions: ['southbound' as const, 'both' as const], from: '2027-05-15', to: '2027-05-31' },
  ];
  const { id, schedule } = await planned(BY_DIRECTION, { windows });
  expect(schedule.unplaced).toEqual([]);
  const northward = onHighway(schedule).filter(({ part }) => part?.direction === 'northbound');
  expect(northward.length).toBeGreaterThan(0);
  for (const { part, startsAt } of onHighway(schedule))
    expect([startsAt, startsAt < '2027-05-15']).toEqual([startsAt, part?.direction === 'northbound']);
  const offered = async (query: string) => {
    const path = `/api/closure-plans/${id}/windows?facility=H${query}`;
    const found = await getJson<{ windows: { startsAt: string }[] }>(server, path);
    return found.windows.map(({ startsAt }) => startsAt.slice(0, 10));
  };
  expect([(await offered('&direction=northbound')).at(-1), (await offered('&direction=both'))[0]]).toEqual([
    '2027-05-14',
    '2027-05-15',
  ]);
  expect((await offered('')).length).toBe(31);
  expect((await send('GET', `/api/closure-plans/${id}/windows?facility=H&direction=uphill`)).statusCode).toBe(400);
});

test('moved onto a night of the other direction, a closure says so; locked, it stays when the rules change', async () => {
  const { id, schedule } = await planned(BY_DIRECTION);
  const [north, south] = ['northbound', 'southbound'].map((direction) => {
    const found = onHighway(schedule).find(({ part }) => part?.direction === direction);
    if (!found) throw new Error(`No closure ${direction}`);
    return found;
  });
  const url = (closure: Closure) => `/api/closure-plans/${id}/closures/${encodeURIComponent(closure.id)}`;
  const asked = await send('POST', `${url(north)}/check`, { startsAt: south.startsAt });
  const told = asked.json().conflicts as Closure['conflicts'];
  expect(told.map(({ rule, sentence }) => [rule, sentence])).toContainEqual([
    'exclusion',
    expect.stringMatching(
      /^Highway 7, southbound.* is closed from .*, and the two are never closed together: One direction of a highway stays open\.$/,
    ),
  ]);
  const revision = async () =>
    `"${(await getJson<{ revision: number }>(server, `/api/closure-plans/${id}`)).revision}"`;
  const locked = (await send('PATCH', url(north), { locked: true }, await revision())).json().closure as Closure;
  const { rules } = await getJson<{ rules: ClosureRules }>(server, `/api/closure-plans/${id}`);
  const whole = { ...rules, parts: { ...BY_DIRECTION, closeBy: 'facility' } };
  expect((await send('PATCH', `/api/closure-plans/${id}`, { rules: whole }, await revision())).statusCode).toBe(200);
  await schedulePlan(id, quietly(server));
  const again = await scheduleOf(id);
  expect(again.closures).toContainEqual(locked);
  expect(pairs(onHighway(again))).toEqual([]);
  const done = doneOnce(again);
  for (const { id: segmentId } of SEGMENTS)
    expect([segmentId, done.get(segmentId)]).toEqual([segmentId, expect.closeTo(LENGTH_M, 6)]);
});

test('table, calendar and packet say what closes', async () => {
  const { id, schedule } = await planned({ ...BY_DIRECTION, closeBy: 'lane' });
  const first = onHighway(schedule).find(({ part }) => part?.lanes.length === 2);
  const csv = parse((await send('GET', `/api/export/closures/${id}.csv`)).body, { columns: true }) as Record<
    string,
    string
  >[];
  const row = csv.find(({ closureId }) => closureId === first?.id);
  expect([row?.facilityName, row?.direction, row?.lanes]).toEqual(['Highway 7', first?.part?.direction, '1 2']);
  expect([row?.firstLane, row?.lastLane]).toEqual(['1', '2']);
  const calendar = new ICAL.Component(ICAL.parse((await send('GET', `/api/calendar/${id}.ics`)).body));
  const summaries = calendar.getAllSubcomponents('vevent').map((event) => event.getFirstPropertyValue('summary'));
  expect(summaries).toContain(`Highway 7, ${first?.part?.direction}, lanes 1 and 2 closed: joint resealing`);
  const packet = await send('GET', `/api/export/closures/${id}/${encodeURIComponent(first?.id ?? '')}.pdf`);
  expect([packet.statusCode, packet.headers['content-type']]).toEqual([200, 'application/pdf']);
});

test('what one closure holds counts each direction by itself', async () => {
  const { id } = await planned(BY_DIRECTION);
  const { rules } = await getJson<{ rules: ClosureRules }>(server, `/api/closure-plans/${id}`);
  const production = async (parts: Parts) => {
    const answer = await send('POST', '/api/closure-plans/production', { rules: { ...rules, parts } });
    return (answer.json() as ClosureProduction).rows[0];
  };
  const [whole, parted] = [await production({ ...BY_DIRECTION, closeBy: 'facility' }), await production(BY_DIRECTION)];
  expect([parted.lengthM, parted.facilities, parted.metres]).toEqual([whole.lengthM, whole.facilities, whole.metres]);
  expect(parted.closures ?? 0).toBeGreaterThanOrEqual(whole.closures ?? 0);
});
