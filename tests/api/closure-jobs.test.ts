import { afterAll, beforeAll, expect, test } from 'vitest';
import { schedulePlan } from '../../server/closures/schedule-plan.ts';
import type { TaskContext } from '../../server/jobs/task.ts';
import type { ClosureRules } from '../../server/schemas/closure-rules.ts';
import type { Schedule } from '../../server/schemas/closures.ts';
import type { Job } from '../../server/schemas/job.ts';
import { sampleRules } from '../unit/server/store/sample-closures.ts';
import { loadNetwork, sampleNetwork } from '../unit/server/store/sample-network.ts';
import { sampleInputs, sampleProgram, sampleWork } from '../unit/server/store/sample-program.ts';
import { loadAll } from '../unit/server/store/sample-records.ts';
import { sender } from './closure-agency.ts';
import { getJson, quietly } from './demo-app.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
beforeAll(async () => {
  server = await startApp();
  const network = sampleNetwork({ segments: 120, seed: 4 });
  await loadNetwork(server.store, network);
  await server.store.writeSettings({ ...(await server.store.readSettings()), planningDate: '2026-07-01' });
  const works = network.segments
    .filter(({ fuelExposure }) => !fuelExposure)
    .map(({ id, facilityId }) =>
      sampleWork(id, { facilityId, year: 2027, lengthM: 90, sealantClass: 'silicone-self-levelling' }),
    );
  await server.store.addScenario({ id: 's', name: 'Plan', note: '', inputs: sampleInputs(), createdAt: '2026-07-01' });
  await server.store.writeProgram('s', sampleProgram(works));
});
afterAll(() => server.close());

async function planned(id: string, change: Partial<ClosureRules> = {}): Promise<string> {
  const rules = sampleRules({ noticeDays: 0, leastChance: 0, ...change });
  await server.store.closures.addClosurePlan({ id, name: 'Nights', note: '', rules, createdAt: '2026-07-01' });
  return id;
}
const scheduleOf = (id: string) => getJson<Schedule>(server, `/api/closure-plans/${id}/schedule`);

test('a schedule is made by a job of its own, with progress, and stopped it keeps the best so far', async () => {
  const id = await planned('worker');
  const send = sender(server);
  const started = (await send('POST', `/api/closure-plans/${id}/schedule`)).json() as Job;
  expect(started).toMatchObject({ kind: 'closures', planId: id, title: 'Closures of Nights' });
  const steps: string[] = [];
  let asked = false;
  server.jobs.watch(started.id, (job) => {
    if (!job) return;
    steps.push(job.step);
    if (asked || !/^(Improving|Proving)/.test(job.step)) return;
    asked = true;
    void send('POST', `/api/jobs/${started.id}/cancel`);
  });
  await server.jobs.ended(started.id);
  const job = await getJson<Job>(server, `/api/jobs/${started.id}`);
  expect([asked, job.state, job.error]).toEqual([true, 'done', null]);
  expect(steps.some((step) => /\d.* % of the work placed/.test(step))).toBe(true);
  const schedule = await scheduleOf(id);
  expect(job.step).toBe(schedule.sentence);
  expect(schedule.closures.length).toBeGreaterThan(3);
});

test('weather of a near station gives chances to finish, but only from three nearly whole years on', async () => {
  const [[facilityId, place]] = await server.store.closures.readFacilityPlaces();
  const windows = sampleRules().windows.map((window) => ({ ...window, to: '2027-05-06' }));
  const few = { facilityIds: [facilityId], windows, closuresPerReserve: 2 };
  const stations = { kind: 'stations' as const, rows: [{ id: 'W1', name: 'Field', ...place, elevationM: 300 }] };
  const daysOf = (year: number) => {
    const first = Date.UTC(year, 0, 1);
    return Array.from({ length: 365 }, (_, i) => ({
      ...{ stationId: 'W1', day: new Date(first + i * 86_400_000).toISOString().slice(0, 10), maxC: 25, minC: 12 },
      // Rain all year round in one year of two: half of the closures' luck.
      precipitationMm: year % 2 === 0 ? 9 : 0,
    }));
  };
  await loadAll(server.store, [stations, { kind: 'climate', rows: [...daysOf(2010), ...daysOf(2011)] }]);
  const two = await planned('two-years', few);
  await schedulePlan(two, quietly(server));
  const refused = await scheduleOf(two);
  expect([refused.totals.finishChance, refused.totals.finishWords]).toEqual([
    null,
    'The record has 2 nearly whole years; workable days need at least 3.',
  ]);
  await loadAll(server.store, [{ kind: 'climate', rows: [...daysOf(2012), ...daysOf(2013)] }]);
  const four = await planned('four-years', few);
  await schedulePlan(four, quietly(server));
  const { closures, totals, sentence } = await scheduleOf(four);
  for (const { finishChance, weatherChance, finishWords } of closures) {
    expect(weatherChance).toBeCloseTo(0.5, 1);
    // Pace can only take away from the weather's half.
    expect(finishChance ?? -1).toBeGreaterThan(0.1);
    expect(finishChance ?? 2).toBeLessThan(0.57);
    expect(finishWords).toBe(
      'Pace and weather drawn 1,000 times from 4 years of record; the interval holds eight in ten.',
    );
  }
  expect(closures.length).toBeGreaterThan(2);
  expect(totals.finishedShare?.p90).toBeGreaterThan(0.2);
  expect(totals.finishChance ?? 2).toBeLessThan(0.5);

  // Lost to weather, its work is no longer placed, and the chance is that of what is left; taken back, all is as before.
  const edit = async (change: object) => {
    const { revision } = await getJson<{ revision: number }>(server, `/api/closure-plans/${four}`);
    const url = `/api/closure-plans/${four}/closures/${encodeURIComponent(closures[0].id)}`;
    expect((await sender(server)('PATCH', url, change, `"${revision}"`)).statusCode).toBe(200);
    return scheduleOf(four);
  };
  const [first] = closures;
  const lost = await edit({ state: 'lost', doneM: 5 });
  expect(lost.totals).toMatchObject({ closures: totals.closures - 1, unplacedM: totals.unplacedM });
  expect(lost.totals.leftM).toBeCloseTo(first.lengthM - 5, 6);
  expect(lost.totals.lengthM + (lost.totals.leftM ?? 0)).toBeCloseTo(totals.lengthM, 6);
  expect(lost.totals.crewHours).toBeCloseTo(totals.crewHours - first.crewHours, 6);
  // One night less on which weather and pace can fail.
  expect(lost.totals.finishChance ?? -1).toBeGreaterThanOrEqual(totals.finishChance ?? 2);
  expect(lost.sentence).toMatch(/ m were lost or left undone since, and are to be scheduled again\.$/);
  expect((await edit({ note: 'Rain from ten' })).totals).toEqual(lost.totals);
  const back = await edit({ state: 'planned', doneM: null });
  expect([back.totals, back.sentence]).toEqual([totals, sentence]);
});

test('stopped while it packs it keeps the best so far; asked once more it keeps nothing', async () => {
  const context = (id: string, asked: number): { id: string; context: TaskContext } => {
    let [stage, dealtWith] = ['', 0];
    const told = () => (/^Improving/.test(stage) ? asked : 0);
    return {
      id,
      context: {
        ...quietly(server),
        progress: (_, step) => {
          stage = /^Improving/.test(stage) ? stage : step;
        },
        cancelled: () => told() > dealtWith,
        keep: () => {
          dealtWith += 1;
        },
      },
    };
  };
  const once = context(await planned('once'), 1);
  const words = await schedulePlan(once.id, once.context);
  const { proof, sentence, closures } = await scheduleOf(once.id);
  expect([words, proof.ended]).toEqual([sentence, 'cancelled']);
  expect(proof.sentence).toContain('It was stopped, and the best so far was kept.');
  expect(closures.length).toBeGreaterThan(3);
  const twice = context(await planned('twice'), 2);
  await expect(schedulePlan(twice.id, twice.context)).rejects.toThrow('Cancelled; nothing of it was kept.');
  expect(await server.store.closures.readSchedule(twice.id)).toBeNull();
});
