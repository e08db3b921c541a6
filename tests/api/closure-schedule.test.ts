import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { schedulePlan } from '../../server/closures/schedule-plan.ts';
import type { ClosureRules } from '../../server/schemas/closure-rules.ts';
import { type Closure, type Schedule, ScheduleSchema } from '../../server/schemas/closures.ts';
import { sampleRules } from '../unit/server/store/sample-closures.ts';
import { loadNetwork, sampleNetwork } from '../unit/server/store/sample-network.ts';
import { sampleInputs, sampleProgram, sampleWork } from '../unit/server/store/sample-program.ts';
import { sender } from './closure-agency.ts';
import { getJson, quietly } from './demo-app.ts';
import { startApp, type TestApp } from './start-app.ts';

const YEAR = 2027;
let server: TestApp;
let send: ReturnType<typeof sender>;
let lengths: Map<string, number>;
let named: string[];
beforeAll(async () => {
  server = await startApp();
  send = sender(server);
  const network = sampleNetwork({ segments: 200, seed: 3 });
  await loadNetwork(server.store, network);
  await server.store.writeSettings({ ...(await server.store.readSettings()), planningDate: '2026-07-01' });
  named = [...new Set(network.segments.map(({ facilityId }) => facilityId))].slice(0, 2);
  const works = named.flatMap((facilityId) =>
    network.segments
      .filter((segment) => segment.facilityId === facilityId && !segment.fuelExposure)
      .slice(0, 5)
      .map(({ id }) =>
        sampleWork(id, { facilityId, year: YEAR, lengthM: 90, sealantClass: 'silicone-self-levelling' }),
      ),
  );
  lengths = new Map(works.map(({ segmentId, lengthM }) => [segmentId, lengthM]));
  await server.store.addScenario({ id: 's', name: 'Plan', note: '', inputs: sampleInputs(), createdAt: '2026-07-01' });
  await server.store.writeProgram('s', sampleProgram(works));
});
afterAll(() => server.close());

let plans = 0;
async function planned(change: Partial<ClosureRules> = {}): Promise<string> {
  const id = `plan-${plans++}`;
  const [a, b] = named;
  const rules = sampleRules({
    ...{ noticeDays: 0, leastChance: 0, closuresPerReserve: null },
    windows: sampleRules().windows.map((window) => ({ ...window, to: '2027-05-16' })),
    exclusions: [{ facilityIds: [a, b], reason: 'One stays open' }],
    ...change,
  });
  await server.store.closures.addClosurePlan({ id, name: 'Nights', note: '', rules, createdAt: '2026-07-01' });
  return id;
}
const scheduleOf = (id: string) => getJson<Schedule>(server, `/api/closure-plans/${id}/schedule`);
const doneBySegment = (closures: readonly Closure[]): Map<string, number> => {
  const done = new Map<string, number>();
  for (const { works, state } of closures)
    if (state !== 'lost')
      for (const { segmentId, lengthM } of works) done.set(segmentId, (done.get(segmentId) ?? 0) + lengthM);
  return done;
};
const overlaps = (a: Closure, b: Closure): boolean => a.startsAt < b.endsAt && b.startsAt < a.endsAt;

describe('a schedule', () => {
  test('does all work once, inside the windows, never two that exclude one another, no crew in two places', async () => {
    const id = await planned();
    const words = await schedulePlan(id, quietly(server));
    const schedule = await scheduleOf(id);
    expect([...Compile(ScheduleSchema).Errors(schedule)]).toEqual([]);
    expect(words).toBe(schedule.sentence);
    expect(schedule.unplaced).toEqual([]);
    expect([schedule.totals.finishChance, schedule.totals.finishWords]).toEqual([
      null,
      'No weather record is near enough to judge by.',
    ]);
    const done = doneBySegment(schedule.closures);
    for (const [segmentId, lengthM] of lengths)
      expect([segmentId, done.get(segmentId)]).toEqual([segmentId, expect.closeTo(lengthM, 6)]);
    for (const closure of schedule.closures) {
      expect([closure.startsAt.slice(11), closure.endsAt.slice(11)]).toEqual(['23:00', '05:00']);
      expect(closure.opensAt <= closure.endsAt).toBe(true);
      for (const work of closure.works)
        expect(work.startsAt >= closure.startsAt && work.endsAt <= closure.endsAt).toBe(true);
      // One crew, and one pair that excludes: no two closures with work at the same time.
      for (const other of schedule.closures) if (other !== closure) expect(overlaps(closure, other)).toBe(false);
    }
    expect(schedule.totals.lengthM).toBeCloseTo(
      [...lengths.values()].reduce((a, b) => a + b, 0),
      3,
    );
  });

  test('is made anew around what is locked, done and lost; events keep their UID, and grow in SEQUENCE', async () => {
    const id = await planned();
    await schedulePlan(id, quietly(server));
    const first = (await scheduleOf(id)).closures;
    expect(first.length).toBeGreaterThan(3);
    const edit = async (closure: Closure, change: object) => {
      const plan = await getJson<{ revision: number }>(server, `/api/closure-plans/${id}`);
      const url = `/api/closure-plans/${id}/closures/${encodeURIComponent(closure.id)}`;
      const answer = await send('PATCH', url, change, `"${plan.revision}"`);
      expect([answer.statusCode, answer.json().detail]).toEqual([200, undefined]);
      return answer.json().closure as Closure;
    };
    const doneOne = await edit(first[0], { state: 'done' });
    const lostOne = await edit(first[1], { state: 'lost', doneM: 30 });
    const locked = await edit(first[2], { locked: true });
    await schedulePlan(id, quietly(server));
    const { closures, totals } = await scheduleOf(id);
    for (const kept of [doneOne, lostOne, locked]) expect(closures).toContainEqual(kept);
    expect(
      closures.filter(({ facilityId, startsAt }) => facilityId === lostOne.facilityId && startsAt === lostOne.startsAt),
    ).toHaveLength(1);
    const done = doneBySegment(closures);
    const lostM = Math.min(30, lostOne.lengthM);
    const total = [...done.values()].reduce((a, b) => a + b, 0);
    expect(total + lostM).toBeCloseTo(
      [...lengths.values()].reduce((a, b) => a + b, 0),
      3,
    );
    // What was done of the lost one stands, and is not counted twice.
    expect([totals.lengthM, totals.leftM]).toEqual([expect.closeTo(total + lostM, 3), 0]);
    const uids = closures.map(({ uid }) => uid);
    expect(new Set(uids).size).toBe(uids.length);
    const known = new Map(first.map((closure) => [closure.uid, closure]));
    for (const closure of closures) {
      const before = known.get(closure.uid);
      if (before && before.startsAt !== closure.startsAt) expect(closure.sequence).toBeGreaterThan(before.sequence);
    }
  });

  test('that no longer needs a closure cancels its event for calendars, and takes it up again later', async () => {
    const id = await planned();
    await schedulePlan(id, quietly(server));
    const first = (await scheduleOf(id)).closures;
    const change = async (rules: object) => {
      const plan = await getJson<{ rules: ClosureRules; revision: number }>(server, `/api/closure-plans/${id}`);
      await send('PATCH', `/api/closure-plans/${id}`, { rules: { ...plan.rules, ...rules } }, `"${plan.revision}"`);
      await schedulePlan(id, quietly(server));
      return server.store.closures.readSchedule(id);
    };
    const few = await change({ facilityIds: [named[0]] });
    const cancelled = few?.closures.filter((each) => each.cancelled).map(({ closure }) => closure.uid) ?? [];
    expect(cancelled.sort()).toEqual(
      first
        .filter(({ facilityId }) => facilityId !== named[0])
        .map(({ uid }) => uid)
        .sort(),
    );
    expect(few?.closures.filter((each) => each.cancelled).every(({ closure }) => closure.sequence === 1)).toBe(true);
    const all = await change({ facilityIds: [] });
    const standing = all?.closures.filter((each) => !each.cancelled).map(({ closure }) => closure) ?? [];
    const gone = all?.closures.filter((each) => each.cancelled).map(({ closure }) => closure) ?? [];
    const windows = new Set(standing.map((closure) => closure.id));
    // A window that is used again has its event of before, and no event stands beside its own cancellation.
    expect(gone.filter((closure) => windows.has(closure.id))).toEqual([]);
    for (const { id: window, uid, sequence } of standing) {
      const before = first.find((closure) => closure.id === window && cancelled.includes(closure.uid));
      if (before) expect([uid, sequence]).toEqual([before.uid, 2]);
    }
    const uids = [...standing, ...gone].map(({ uid }) => uid);
    expect(new Set(uids).size).toBe(uids.length);
  });

  test('without windows places nothing and says why', async () => {
    const id = await planned({ windows: [] });
    await schedulePlan(id, quietly(server));
    const { closures, unplaced, totals } = await scheduleOf(id);
    expect([closures, totals.lengthM]).toEqual([[], 0]);
    expect(unplaced.reduce((sum, { lengthM }) => sum + lengthM, 0)).toBeCloseTo(totals.unplacedM, 6);
    expect(unplaced.every(({ rule }) => rule === 'no-window')).toBe(true);
  });

  test('with too few nights says what would make the rest fit, and it does', async () => {
    const [mondays] = sampleRules().windows;
    const few = [{ ...mondays, weekdays: ['monday' as const], to: '2027-05-16' }];
    const id = await planned({ windows: few });
    await schedulePlan(id, quietly(server));
    const { unplaced } = await scheduleOf(id);
    expect(unplaced.length).toBeGreaterThan(0);
    for (const { change } of unplaced)
      expect(change).toMatch(/^[A-Z][a-z]+ more nights? in May, on days that the rules leave out\.$/);
    const more = await planned({ windows: [{ ...few[0], weekdays: mondays.weekdays }] });
    await schedulePlan(more, quietly(server));
    expect((await scheduleOf(more)).unplaced).toEqual([]);
    const late = await planned({
      windows: few.map((window) => ({ ...window, weekdays: mondays.weekdays, to: '2027-05-09' })),
    });
    await schedulePlan(late, quietly(server));
    for (const { change } of (await scheduleOf(late)).unplaced) expect(change).toBe('Windows longer by one hour.');
    const longer = few.map((window) => ({ ...window, weekdays: mondays.weekdays, to: '2027-05-09', lengthHours: 7 }));
    const roomy = await planned({ windows: longer });
    await schedulePlan(roomy, quietly(server));
    expect((await scheduleOf(roomy)).unplaced).toEqual([]);
  });

  test('changed while it is made is made again, so that the change is not lost', async () => {
    const id = await planned();
    const context = quietly(server);
    let changed = false;
    const progress = () => {
      if (changed) return;
      changed = true;
      void server.store.closures.changeClosurePlan(id, 1, { note: 'meanwhile' }, '2026-07-02');
    };
    await schedulePlan(id, { ...context, progress });
    expect(await getJson(server, `/api/closure-plans/${id}`)).toMatchObject({
      note: 'meanwhile',
      schedule: { current: true },
    });
  });

  test('is not asked for where there is no plan, no program, or rules that the records speak against', async () => {
    expect((await send('POST', '/api/closure-plans/none/schedule')).statusCode).toBe(404);
    const gone = await planned({ scenarioId: 'gone' });
    expect((await send('POST', `/api/closure-plans/${gone}/schedule`)).statusCode).toBe(422);
    await server.store.addScenario({
      id: 'bare',
      name: 'Bare',
      note: '',
      inputs: sampleInputs(),
      createdAt: '2026-07-01',
    });
    const bare = await planned({ scenarioId: 'bare' });
    expect((await send('POST', `/api/closure-plans/${bare}/schedule`)).statusCode).toBe(404);
  });
});
