import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { solveScenario } from '../../server/programs/solve-scenario.ts';
import {
  type Program,
  type ProgramChanges,
  ProgramChangesSchema,
  ProgramSchema,
  type ProgramWork,
  type ProgramWorkPage,
} from '../../server/schemas/program.ts';
import type { Scenario, ScenarioDefaults, ScenarioInputs } from '../../server/schemas/scenario.ts';
import { getJson, quietly, startDemo } from './demo-app.ts';
import { LOOPBACK } from './load-over-http.ts';
import { startApp, type TestApp } from './start-app.ts';

const YEARS = 6;
const FIRST = 2026;
const LEAST_M = 1500;

let server: TestApp;
let defaults: ScenarioInputs;
let free: Scenario;
beforeAll(async () => {
  server = await startDemo(300);
  const { inputs } = await get<ScenarioDefaults>('/api/scenarios/defaults');
  const few = inputs.allowedClasses.filter(({ sealantClass }) =>
    ['silicone-self-levelling', 'hot-applied-type-2', 'polysulfide'].includes(sealantClass),
  );
  defaults = { ...inputs, horizonYears: YEARS, allowedClasses: few };
  free = await solved({});
});
afterAll(() => server.close());

const get = <T>(url: string) => getJson<T>(server, url);
const post = (url: string, payload?: object) => server.app.inject({ method: 'POST', url, headers: LOOPBACK, payload });

async function scenarioOf(change: Partial<ScenarioInputs>): Promise<Scenario> {
  const answer = await post('/api/scenarios', { name: 'Plan', inputs: { ...defaults, ...change } });
  expect([answer.statusCode, answer.json().detail]).toEqual([201, undefined]);
  return answer.json();
}
/** A scenario with its program, solved in this thread. */
async function solved(change: Partial<ScenarioInputs>): Promise<Scenario> {
  const { id } = await scenarioOf(change);
  await solveScenario(id, quietly(server));
  return get(`/api/scenarios/${id}`);
}
const programOf = ({ id }: Scenario) => get<Program>(`/api/scenarios/${id}/program`);
async function worksOf({ id }: Scenario, query = ''): Promise<ProgramWork[]> {
  const { items, numberMatched } = await get<ProgramWorkPage>(`/api/scenarios/${id}/work?limit=1000${query}`);
  expect(items).toHaveLength(numberMatched);
  return items;
}
const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
function lengths(works: readonly ProgramWork[], keyOf: (work: ProgramWork) => string): Map<string, number> {
  const found = new Map<string, number>();
  for (const work of works) found.set(keyOf(work), (found.get(keyOf(work)) ?? 0) + work.lengthM);
  return found;
}
const everyYear = (atMost: number): ScenarioInputs['budgets'] => ({
  ...{ moneyOf: 'each-year', everyYear: atMost, byYear: [], districts: [] },
});

describe('a program without limits', () => {
  test('fits its schema, is current, and its bound is below its objective', async () => {
    const program = await programOf(free);
    expect([...Compile(ProgramSchema).Errors(program)]).toEqual([]);
    expect(free.program).toMatchObject({ revision: 1, planningDate: '2026-07-01', current: true });
    expect(program.status).toBe('solved');
    expect(program.bound).toBeLessThanOrEqual(program.objective);
    expect(program.gapShare).toBeLessThan(0.01);
    expect(program.years.map(({ year }) => year)).toEqual(Array.from({ length: YEARS }, (_, y) => FIRST + y));
    expect(program.sentence).toMatch(/reseals from 2026 to 2031 cost USD/);
  });

  test('adds up: works to years, rows and totals, with mobilisation once a facility and year', async () => {
    const [program, works] = [await programOf(free), await worksOf(free)];
    expect(works.length).toBe(program.totals.works);
    const kinds = new Map((await server.store.listFacilities()).map(({ id, kind }) => [id, kind]));
    for (const row of program.years) {
      const own = works.filter(({ year }) => year === row.year);
      const parts = program.rows.filter(({ year }) => year === row.year);
      expect([row.works, sum(parts.map((part) => part.works))]).toEqual([own.length, own.length]);
      expect(row.lengthM).toBeCloseTo(sum(own.map(({ lengthM }) => lengthM)), 6);
      const facilities = new Set(own.map(({ facilityId }) => facilityId));
      expect(row.facilities).toBe(facilities.size);
      const trips = [...facilities].map((id) =>
        defaults.mobilisation.find((each) => each.facilityKind === kinds.get(id)),
      );
      const trip = sum(trips.map((each) => (each ? each.mobilisationCost + each.trafficControlCost : Number.NaN)));
      // Prices of mid-2025 money, raised by 3 % a year.
      expect(row.mobilisationCost).toBeCloseTo(trip * 1.03 ** (row.year - 2025), 4);
      expect(row.constantCost.median).toBeCloseTo(sum(own.map(({ constantCost }) => constantCost)) + trip, 4);
      expect(row.cost.median).toBeCloseTo(row.constantCost.median * 1.03 ** (row.year - 2025), 4);
      expect(row.cost.lower).toBeLessThanOrEqual(row.cost.median);
    }
    const present = program.years.map(({ constantCost }, y) => constantCost.median / 1.04 ** y);
    expect(program.totals.presentCost.median).toBeCloseTo(sum(present), 3);
    expect(program.totals.nominalCost.median).toBeCloseTo(sum(program.years.map(({ cost }) => cost.median)), 3);
  });

  test('gives each work a reason, a price by its class, and its neighbours', async () => {
    const works = await worksOf(free);
    const prices: Record<string, number> = {
      'silicone-self-levelling': 11.5,
      'hot-applied-type-2': 5.9,
      polysulfide: 14.8,
    };
    for (const work of works) {
      const bridge = work.jointType === 'bridge-deck' && !work.sealantClass.startsWith('hot-applied');
      const price = bridge ? Math.round(prices[work.sealantClass] * 30) / 10 : prices[work.sealantClass];
      expect(work.constantCost).toBeCloseTo(work.lengthM * price, 6);
      const together = works.filter(({ facilityId, year }) => facilityId === work.facilityId && year === work.year);
      expect(work.neighbours).toBe(together.length - 1);
      expect(work.reason).toMatch(/likely failed by 20|known to have failed|Known to have failed/);
      if (work.why === 'due') expect(work.savedByNotWaiting ?? 0).toBeGreaterThanOrEqual(0);
    }
    const facts = await server.store.readSegmentFacts(works.map(({ segmentId }) => segmentId));
    for (const { segmentId, sealantClass } of works)
      if (facts.get(segmentId)?.fuelExposure) expect(sealantClass).toBe('polysulfide');
  });

  test('rests on the forecast of the map: the same chances by the same year ends', async () => {
    const first = new Map((await worksOf(free, '&sort=year&descending=true')).map((work) => [work.segmentId, work]));
    expect(first.size).toBeGreaterThan(50);
    for (const { segmentId, year, failedChance } of first.values()) {
      const forecast = (await server.store.findState(segmentId))?.forecast;
      expect(forecast?.failedByYearEnd[year - FIRST]).toBeCloseTo(failedChance, 5);
    }
  });

  test('is cheaper with open joints and what follows than each simple rule', async () => {
    const { totals, baselines } = await programOf(free);
    const all = (each: Program['totals']) =>
      each.presentCost.median + each.presentOpenCost.median + each.presentFinalCost;
    expect(baselines.map(({ baseline }) => baseline)).toEqual([
      'nothing',
      'worst-first',
      'fixed-cycle',
      'all-needs-met',
    ]);
    for (const each of baselines) expect(all(totals)).toBeLessThan(all(each.totals) * 1.001);
    expect(baselines[0].totals).toMatchObject({ works: 0, lengthM: 0 });
  });

  test('comes out the same, byte for byte, when it is made again', async () => {
    const [program, works] = [await server.store.readProgram(free.id), await worksOf(free)];
    await solveScenario(free.id, quietly(server));
    expect(JSON.stringify((await server.store.readProgram(free.id))?.report)).toBe(JSON.stringify(program?.report));
    expect(await worksOf(free)).toEqual(works);
  });

  test('shows on the tiles where and when', async () => {
    const { app } = server;
    const ask = (query: string) => app.inject({ url: `/api/tiles/0/0/0.mvt?${query}`, headers: LOOPBACK });
    const [plain, shown] = [await ask(''), await ask(`scenario=${free.id}`)];
    expect(shown.headers.etag).not.toBe(plain.headers.etag);
    expect((await ask(`scenario=${free.id}`)).headers.etag).toBe(shown.headers.etag);
    const other = await solved({ horizonYears: 2 });
    expect((await ask(`scenario=${other.id}`)).headers.etag).not.toBe(shown.headers.etag);
    await server.store.changeScenario(other.id, null, { inputs: { ...defaults, horizonYears: 3 } }, '');
    const before = (await ask(`scenario=${other.id}`)).headers.etag;
    await solveScenario(other.id, quietly(server));
    expect((await ask(`scenario=${other.id}`)).headers.etag).not.toBe(before);
  });
});

describe('limits', () => {
  test('a budget is kept at listed prices, has a price, and costs something', async () => {
    const { years, objective } = await programOf(free);
    const atMost = sum(years.map(({ cost }) => cost.median)) / YEARS / 2;
    const program = await programOf(await solved({ budgets: everyYear(atMost) }));
    expect(program.status).toBe('solved');
    for (const { cost, budgetAtMost } of program.years) {
      expect(budgetAtMost).toBe(atMost);
      expect(cost.median).toBeLessThanOrEqual(atMost * (1 + 1e-9));
    }
    expect(program.objective).toBeGreaterThan(objective);
    expect(program.years[0].budgetPrice).toBeGreaterThan(0);
    expect(program.totals.budgetUsedShare).toBeGreaterThan(0.8);
    expect(program.totals.budgetUsedShare).toBeLessThanOrEqual(1);
  });

  test('ceilings of a district, crew capacity and a least job hold', async () => {
    const district = 'Coast District';
    const all = await programOf(free);
    const spent = sum(all.districts.filter((row) => row.district === district).map(({ cost }) => cost.median));
    const atMost = spent / YEARS;
    const crewCapacityMPerYear = (all.totals.lengthM / YEARS) * 1.2;
    const budgets = { ...everyYear(1e9), districts: [{ district, year: null, atLeast: null, atMost }] };
    const scenario = await solved({ budgets, crewCapacityMPerYear, minimumJobM: LEAST_M });
    const program = await programOf(scenario);
    for (const row of program.districts.filter((each) => each.district === district))
      expect(row.cost.median).toBeLessThanOrEqual(atMost * (1 + 1e-9));
    for (const { lengthM } of program.years) expect(lengthM).toBeLessThanOrEqual(crewCapacityMPerYear * (1 + 1e-9));
    const works = await worksOf(scenario);
    const rows = (await get<{ items: { facilityId: string; sealedLengthM: number }[] }>('/api/segments?limit=1000'))
      .items;
    for (const [job, lengthM] of lengths(works, ({ facilityId, year }) => `${facilityId} ${year}`)) {
      const own = rows.filter(({ facilityId }) => facilityId === job.split(' ')[0]);
      // A facility shorter than the least job is worked on as a whole.
      if (sum(own.map(({ sealedLengthM }) => sealedLengthM)) >= 2 * LEAST_M)
        expect(lengthM).toBeGreaterThanOrEqual(LEAST_M);
    }
  });

  test('the least spending that keeps a target keeps it, and a tighter one costs more', async () => {
    const spending = async (atMostShare: number) => {
      const targets = [{ scope: 'network' as const, name: null, fromYear: FIRST + 1, atMostShare }];
      const program = await programOf(await solved({ question: 'least-budget', targets }));
      expect(program.status).toBe('solved');
      for (const { year, failedShare } of program.years)
        if (year > FIRST) expect(failedShare.median).toBeLessThan(atMostShare * 1.15);
      return program.objective;
    };
    expect(await spending(0.1)).toBeGreaterThan(await spending(0.2));
  });

  test('commitments above the budget are told with what conflicts and by how much, beside the nearest program', async () => {
    const works = (await worksOf(free)).slice(0, 30);
    const committed = works.map(({ segmentId, sealantClass }) => ({ segmentId, year: FIRST, sealantClass }));
    const program = await programOf(await solved({ committed, budgets: everyYear(1000) }));
    expect(program.status).toBe('infeasible');
    expect([program.gapShare, program.totals.works >= committed.length]).toEqual([null, true]);
    const [conflict] = program.conflicts;
    expect(conflict.unit).toBe('money');
    expect(conflict.reachable).toBeGreaterThan(conflict.asked);
    expect(conflict.sentence).toMatch(/^The budget of 2026 is USD .*: USD .* more\. Raise it/);
    expect(program.sentence).toMatch(/^No program keeps every limit/);
  });
});

describe('settled work', () => {
  test('is done as committed, and nothing shortly before new pavement', async () => {
    const works = await worksOf(free);
    const [one, other] = [works[0], works.find(({ facilityId }) => facilityId !== works[0].facilityId)];
    const committed = [{ segmentId: one.segmentId, year: FIRST + 4, sealantClass: one.sealantClass }];
    const facilityId = other?.facilityId ?? '';
    const heldBack = [{ segmentId: null, facilityId, pavementYear: FIRST + 5, yearsBefore: 3 }];
    const scenario = await solved({ committed, heldBack });
    const settled = (await worksOf(scenario)).find(
      ({ segmentId, year }) => segmentId === one.segmentId && year === FIRST + 4,
    );
    expect(settled).toMatchObject({ why: 'committed', sealantClass: one.sealantClass });
    expect(settled?.reason).toMatch(/^Committed beforehand: /);
    const held = await worksOf(scenario, `&facility=${facilityId}`);
    expect(Math.max(0, ...held.map(({ year }) => year))).toBeLessThan(FIRST + 2);
    expect((await programOf(scenario)).assumptions.join(' ')).toMatch(/pavement is replaced leave the program/);
  });

  test('chosen by hand is solved around, and what it costs is told', async () => {
    const works = await worksOf(free);
    const [late, never] = [works[0], works.find(({ segmentId }) => segmentId !== works[0].segmentId)];
    const chosen = [
      { segmentId: late.segmentId, year: FIRST + 5, sealantClass: null },
      { segmentId: never?.segmentId ?? '', year: null, sealantClass: null },
    ];
    const scenario = await solved({ chosen });
    const program = await programOf(scenario);
    const own = await worksOf(scenario, `&segmentIds=${late.segmentId}`);
    expect(own.map(({ year, why }) => [year, why])).toEqual([[FIRST + 5, 'chosen']]);
    expect(own[0].reason).toMatch(/^Chosen by hand: /);
    expect(await worksOf(scenario, `&segmentIds=${never?.segmentId}`)).toEqual([]);
    // The program without the choices may still have been polished a little before they were put in.
    const { objective } = await programOf(free);
    expect(program.handMadeCost).toBeGreaterThan(0);
    expect(program.objective - objective).toBeLessThanOrEqual((program.handMadeCost ?? 0) + 1e-6);
    expect(program.bound).toBeGreaterThanOrEqual((await programOf(free)).bound);
    expect((await programOf(free)).handMadeCost).toBeNull();
  });

  test('costs the same whether the program without it was known or not', async () => {
    const [work] = await worksOf(free);
    const chosen = [{ segmentId: work.segmentId, year: FIRST + 4, sealantClass: null }];
    const known = await programOf(await solved({ chosen }));
    // The cycle is of a simple rule only, so the question is the same by another name.
    const asked = await programOf(await solved({ chosen, fixedCycleYears: 11 }));
    expect(asked.handMadeCost).toBe(known.handMadeCost);
  });
});

describe('changes from one program to another', () => {
  test('count and list what was added, dropped and moved, with the difference in cost', async () => {
    const { years } = await programOf(free);
    const half = await solved({ budgets: everyYear(sum(years.map(({ cost }) => cost.median)) / YEARS / 2) });
    const changes = await get<ProgramChanges>(`/api/scenarios/${half.id}/changes?from=${free.id}`);
    expect([...Compile(ProgramChangesSchema).Errors(changes)]).toEqual([]);
    const [before, after] = [await worksOf(free), await worksOf(half)];
    expect(changes.added - changes.dropped).toBe(after.length - before.length);
    expect(changes.works.length).toBeGreaterThan(0);
    const key = (segmentId: string, year: number | null) => `${segmentId} ${year}`;
    const [had, has] = [before, after].map((list) => new Set(list.map((w) => key(w.segmentId, w.year))));
    for (const { segmentId, fromYear, toYear } of changes.works) {
      if (fromYear !== null) expect(had.has(key(segmentId, fromYear))).toBe(true);
      if (toYear !== null) expect(has.has(key(segmentId, toYear))).toBe(true);
    }
    expect(changes.presentCost.median).toBeLessThan(0);
    expect(changes.failedLengthYearsM.lower).toBeGreaterThan(0);
    expect(changes.sentence).toMatch(/works added, .* cheaper in \d+ % of draws\.$/);
    const back = await get<ProgramChanges>(`/api/scenarios/${free.id}/changes?from=${half.id}`);
    expect(back.presentCost.median).toBeCloseTo(-changes.presentCost.median, 3);
    const same = await get<ProgramChanges>(`/api/scenarios/${free.id}/changes?from=${free.id}`);
    expect(same).toMatchObject({ added: 0, dropped: 0, moved: 0, otherClass: 0, works: [] });
    expect(same.presentCost).toEqual({ median: 0, lower: 0, upper: 0 });
  });
});

describe('the work of a program', () => {
  test('runs as a job that tells bound and best program, and names its scenario', async () => {
    const { id } = await scenarioOf({});
    const started = await post(`/api/scenarios/${id}/program`);
    expect([started.statusCode, started.json()]).toMatchObject([
      202,
      { kind: 'program', scenarioId: id, title: 'Program of Plan' },
    ]);
    const steps = new Set<string>();
    server.jobs.watch(started.json().id, ({ step }) => steps.add(step.replace(/:.*/, '')));
    const job = await server.jobs.ended(started.json().id);
    expect([job.state, job.error, job.step]).toEqual(['done', null, expect.stringMatching(/^Done\. Gap to the bound/)]);
    expect([...steps]).toEqual(expect.arrayContaining(['Reading the records', 'Solving', 'Writing the program']));
    expect(await programOf({ id } as Scenario)).toEqual({ ...(await programOf(free)), scenarioId: id });
  });

  test('stopped while it solves keeps the best program so far; asked again, it keeps nothing', async () => {
    const { id } = await scenarioOf({ minimumJobM: LEAST_M });
    const stopped = async (again: boolean) => {
      let [asked, dealtWith] = [0, 0];
      const context = {
        ...quietly(server),
        cancelled: () => asked > dealtWith,
        keep: () => {
          dealtWith = asked;
        },
        progress: (_share: number, step: string) => {
          if (step.startsWith('Solving') && asked === 0) asked = 1;
          if (again && dealtWith === 1) asked = 2;
        },
      };
      return solveScenario(id, context);
    };
    await expect(stopped(true)).rejects.toThrow(/Cancelled; nothing of it was kept/);
    expect(await server.store.readProgram(id)).toBeNull();
    expect(await stopped(false)).toMatch(/^Stopped; the best program so far was kept/);
    const program = await programOf({ id } as Scenario);
    expect(program.status).toBe('stopped');
    expect(program.totals.works).toBeGreaterThan(0);
  });

  test('is refused for a locked scenario, one that no longer fits, and before the first forecast', async () => {
    const scenario = await scenarioOf({});
    await server.store.changeScenario(scenario.id, null, { locked: true }, '');
    expect((await post(`/api/scenarios/${scenario.id}/program`)).statusCode).toBe(409);
    expect((await post('/api/scenarios/none/program')).statusCode).toBe(404);
    const targets = [{ scope: 'district' as const, name: 'Moon', fromYear: null, atMostShare: 0.1 }];
    const inputs = { ...defaults, targets };
    await server.store.addScenario({ id: 'old', name: 'Old', note: '', inputs, createdAt: '' });
    const old = await post('/api/scenarios/old/program');
    expect([old.statusCode, old.json().detail]).toEqual([
      422,
      expect.stringMatching(/inputs\.targets\.0\.name is Moon/),
    ]);
    const empty = await startApp();
    await empty.store.addScenario({ id: 'x', name: 'X', note: '', inputs: defaults, createdAt: '' });
    const answer = await empty.app.inject({ method: 'POST', url: '/api/scenarios/x/program', headers: LOOPBACK });
    expect([answer.statusCode, answer.json().type]).toEqual([404, '/api/docs#no-forecast']);
    await empty.close();
  });
});
