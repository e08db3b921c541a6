import { afterAll, beforeAll, expect, test } from 'vitest';
import { schedulePlan } from '../../server/closures/schedule-plan.ts';
import type { TaskContext } from '../../server/jobs/task.ts';
import type { Schedule } from '../../server/schemas/closures.ts';
import type { Job } from '../../server/schemas/job.ts';
import { sampleRules } from '../unit/server/store/sample-closures.ts';
import { loadNetwork, sampleNetwork } from '../unit/server/store/sample-network.ts';
import { sampleInputs, sampleProgram, sampleWork } from '../unit/server/store/sample-program.ts';
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

async function planned(id: string): Promise<string> {
  const rules = sampleRules({ noticeDays: 0, leastChance: 0 });
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
