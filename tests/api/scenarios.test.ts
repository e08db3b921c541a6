import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import { readPlanningBasis } from '../../server/programs/planning-basis.ts';
import {
  type Scenario,
  type ScenarioDefaults,
  ScenarioDefaultsSchema,
  type ScenarioEdit,
  type ScenarioInputs,
  ScenarioInputsSchema,
  ScenarioSchema,
} from '../../server/schemas/scenario.ts';
import { sampleProgram } from '../unit/server/store/sample-program.ts';
import { getJson, quietly, startDemo } from './demo-app.ts';
import { LOOPBACK } from './load-over-http.ts';
import type { TestApp } from './start-app.ts';

let server: TestApp;
beforeAll(async () => {
  server = await startDemo(1200);
});
afterAll(() => server.close());

const get = <T>(url: string) => getJson<T>(server, url);
const send = (method: 'POST' | 'PATCH' | 'DELETE', url: string, payload?: object, ifMatch?: string) =>
  server.app.inject({ method, url, payload, headers: { ...LOOPBACK, ...(ifMatch ? { 'if-match': ifMatch } : {}) } });
const add = async (inputs?: ScenarioInputs): Promise<Scenario> => {
  const answer = await send('POST', '/api/scenarios', { name: 'Plan', ...(inputs ? { inputs } : {}) });
  expect([answer.statusCode, answer.json().detail]).toEqual([201, undefined]);
  return answer.json();
};
const edit = (scenario: Scenario, change: ScenarioEdit) =>
  send('PATCH', `/api/scenarios/${scenario.id}`, change, `"${scenario.revision}"`);

let defaults: ScenarioInputs;
beforeEach(async () => {
  defaults = (await get<ScenarioDefaults>('/api/scenarios/defaults')).inputs;
});

describe('defaults', () => {
  test('fit the schema, pass the checks, and give a reason for each input', async () => {
    const answer = await get<ScenarioDefaults>('/api/scenarios/defaults');
    expect([...Compile(ScenarioDefaultsSchema).Errors(answer)]).toEqual([]);
    expect(answer.reasons.map(({ field }) => field).sort()).toEqual(
      Object.keys(ScenarioInputsSchema.properties).sort(),
    );
    const { inputs } = await add(answer.inputs);
    expect(inputs).toEqual(answer.inputs);
  });

  test('let nothing that its standard excludes go where fuel is spilled', async () => {
    const fuel = defaults.allowedClasses.filter(({ whereFuelIsSpilled }) => whereFuelIsSpilled);
    expect(fuel.map(({ sealantClass }) => sealantClass).sort()).toEqual([
      'polysulfide',
      'polyurethane-two-part',
      'preformed-compression',
    ]);
  });
});

describe('a scenario', () => {
  test('is made, read, renamed, copied and deleted, with its revision as entity tag', async () => {
    const made = await send('POST', '/api/scenarios', { name: 'Adopted', note: 'by the board' });
    const scenario: Scenario = made.json();
    expect([...Compile(ScenarioSchema).Errors(scenario)]).toEqual([]);
    expect([made.headers.etag, scenario.revision, scenario.inputs]).toEqual(['"1"', 1, defaults]);
    const renamed = await edit(scenario, { name: 'Adopted 2026', inputs: { ...defaults, horizonYears: 10 } });
    expect([renamed.statusCode, renamed.headers.etag]).toEqual([200, '"2"']);
    expect(await get<Scenario>(`/api/scenarios/${scenario.id}`)).toEqual(renamed.json());
    const copy = await send('POST', `/api/scenarios/${scenario.id}/copy`, { name: 'Tighter' });
    expect(copy.json()).toMatchObject({ name: 'Tighter', note: 'by the board', revision: 1, program: null });
    expect(copy.json().inputs.horizonYears).toBe(10);
    const listed = (await get<{ scenarios: Scenario[] }>('/api/scenarios')).scenarios.map(({ id }) => id);
    expect(listed.slice(-2)).toEqual([scenario.id, copy.json().id]);
    expect((await send('DELETE', `/api/scenarios/${scenario.id}`, undefined, '"2"')).statusCode).toBe(204);
    expect((await send('DELETE', `/api/scenarios/${scenario.id}`, undefined, '*')).statusCode).toBe(404);
  });

  test('changed under a revision that is not its own says what changed since', async () => {
    const scenario = await add();
    await edit(scenario, { inputs: { ...defaults, minimumJobM: 500 } });
    const late = await edit(scenario, { name: 'Late' });
    expect(late.statusCode).toBe(412);
    expect(late.json().detail).toMatch(
      /now at revision 2: revision 2 \(.*\) changed inputs\.minimumJobM\. .*If-Match: "2"/,
    );
    const answers = await Promise.all(
      ['A', 'B', 'C'].map((name) => send('PATCH', `/api/scenarios/${scenario.id}`, { name }, '"2"')),
    );
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([200, 412, 412]);
  });

  test.each([
    [undefined, 428, /If-Match is missing/],
    ['3', 400, /If-Match is 3; expected one revision in quotes/],
    ['W/"1"', 400, /one revision in quotes/],
    ['"0"', 400, /one revision in quotes/],
    ['"1", "2"', 400, /one revision in quotes/],
    ['"7"', 412, /that revision is not one of its own/],
  ])('with If-Match %s is refused with %i', async (ifMatch, status, words) => {
    const { id } = await add();
    for (const method of ['PATCH', 'DELETE'] as const) {
      const answer = await send(
        method,
        `/api/scenarios/${id}`,
        method === 'PATCH' ? { name: 'New' } : undefined,
        ifMatch,
      );
      expect([answer.statusCode, answer.json().detail]).toEqual([status, expect.stringMatching(words)]);
    }
    expect((await get<Scenario>(`/api/scenarios/${id}`)).name).toBe('Plan');
  });

  test('that is locked stays as it is until it is unlocked', async () => {
    const locked: Scenario = (await edit(await add(), { locked: true })).json();
    const answer = await edit(locked, { name: 'New' });
    expect([answer.statusCode, answer.json().detail]).toEqual([409, expect.stringMatching(/locked.*Unlock it first/)]);
    expect((await send('DELETE', `/api/scenarios/${locked.id}`, undefined, '*')).statusCode).toBe(409);
    expect((await edit(locked, { locked: false })).json()).toMatchObject({ locked: false, revision: 3 });
  });

  test('has neither program nor work at first, and a tile with it has no work to show', async () => {
    const { id } = await add();
    for (const part of ['program', 'work']) {
      const answer = await server.app.inject({ url: `/api/scenarios/${id}/${part}`, headers: LOOPBACK });
      expect([answer.statusCode, answer.json().type]).toEqual([404, '/api/docs#no-program']);
    }
    expect(
      (await server.app.inject({ url: `/api/tiles/0/0/0.mvt?scenario=${id}`, headers: LOOPBACK })).statusCode,
    ).toBe(200);
    const missing = await server.app.inject({ url: '/api/tiles/0/0/0.mvt?scenario=none', headers: LOOPBACK });
    expect([missing.statusCode, missing.json().detail]).toEqual([404, expect.stringMatching(/No scenario none/)]);
  });
});

describe('inputs that cannot be', () => {
  const PLANNING_YEAR = 2026;
  const district = 'Coast District';
  const money = { moneyOf: 'each-year' as const, everyYear: null, byYear: [], districts: [] };
  const limit = { district, year: null, atLeast: null, atMost: 1000 };
  const target = { scope: 'network' as const, name: null, fromYear: null, atMostShare: 0.1 };
  const committed = { segmentId: 'nowhere', year: PLANNING_YEAR, sealantClass: null };
  const CASES: [string, Partial<ScenarioInputs>, string, RegExp][] = [
    [
      'a budget year beyond the horizon',
      { budgets: { ...money, byYear: [{ year: 2046, atMost: 1 }] } },
      'budgets.byYear.0.year',
      /2026 to 2045/,
    ],
    [
      'a district that there is not',
      { budgets: { ...money, districts: [{ ...limit, district: 'Moon' }] } },
      'budgets.districts.0.district',
      /a district on record: Coast/,
    ],
    [
      'a floor above its ceiling',
      { budgets: { ...money, districts: [{ ...limit, atLeast: 2000 }] } },
      'budgets.districts.0.atLeast',
      /no more than atMost, 1000/,
    ],
    [
      'a district without a limit',
      { budgets: { ...money, districts: [{ ...limit, atMost: null }] } },
      'budgets.districts.0',
      /at least one/,
    ],
    ['a district twice', { budgets: { ...money, districts: [limit, limit] } }, 'budgets.districts.1', /each once/],
    [
      'floors above the budget',
      { budgets: { ...money, everyYear: 500, districts: [{ ...limit, atLeast: 900 }] } },
      'budgets.districts',
      /no more than the budget of that year, 500/,
    ],
    ['least spending without a target', { question: 'least-budget' }, 'targets', /at least one target/],
    [
      'a target of no district',
      { targets: [{ ...target, scope: 'district' }] },
      'targets.0.name',
      /a district on record/,
    ],
    [
      'a target of a kind that there is not',
      { targets: [{ ...target, scope: 'facility-kind', name: 'canal' }] },
      'targets.0.name',
      /a facility kind on record: highway/,
    ],
    [
      'silicone where fuel is spilled',
      { allowedClasses: [{ sealantClass: 'silicone-non-sag', jointTypes: [], whereFuelIsSpilled: true }] },
      'allowedClasses.0.whereFuelIsSpilled',
      /ASTM D5893/,
    ],
    [
      'a class that is not one',
      { allowedClasses: [{ sealantClass: 'unknown', jointTypes: [], whereFuelIsSpilled: false }] },
      'allowedClasses.0.sealantClass',
      /can be specified/,
    ],
    ['a commitment of no segment', { committed: [committed] }, 'committed.0.segmentId', /a segment on record/],
    [
      'a held-back facility that there is not',
      { heldBack: [{ segmentId: null, facilityId: 'X', pavementYear: 2030, yearsBefore: 3 }] },
      'heldBack.0.facilityId',
      /a facility on record/,
    ],
    [
      'held back without a name',
      { heldBack: [{ segmentId: null, facilityId: null, pavementYear: 2030, yearsBefore: 3 }] },
      'heldBack.0',
      /one of the two/,
    ],
    [
      'a price twice',
      { prices: [1, 2].map((costPerM) => ({ sealantClass: 'polysulfide', jointType: 'any', costPerM })) },
      'prices.1',
      /each once/,
    ],
  ];
  test.each(CASES)('%s: refused, with field, value and what is allowed', async (_name, change, field, expected) => {
    const answer = await send('POST', '/api/scenarios', { name: 'Plan', inputs: { ...defaults, ...change } });
    expect(answer.statusCode).toBe(400);
    const [first] = answer.json().errors;
    expect([first.field, first.expected]).toEqual([`body.inputs.${field}`, expect.stringMatching(expected)]);
    expect(answer.json().detail).toContain(`${first.field} is ${first.found}; expected ${first.expected}.`);
  });

  test('wishes about single segments', async () => {
    const rows = (await get<{ items: { id: string; facilityId: string }[] }>('/api/segments?limit=1000')).items;
    const facts = await server.store.readSegmentFacts(rows.map(({ id }) => id));
    const all = [...facts.values()];
    const fuel = all.find((each) => each.fuelExposure && each.resealable)?.id ?? '';
    const plain = all.find((each) => !each.fuelExposure && each.resealable);
    const elsewhere = all.filter(({ facilityId }) => facilityId !== plain?.facilityId);
    const unsealed = elsewhere.find((each) => !each.resealable)?.id ?? '';
    const year = PLANNING_YEAR + 3;
    const inputs: ScenarioInputs = {
      ...defaults,
      committed: [
        { segmentId: fuel, year, sealantClass: 'silicone-self-levelling' },
        { segmentId: unsealed, year, sealantClass: null },
        { segmentId: plain?.id ?? '', year, sealantClass: 'hot-applied' },
        { segmentId: plain?.id ?? '', year, sealantClass: null },
        { segmentId: plain?.id ?? '', year: 2099, sealantClass: null },
      ],
      heldBack: [{ segmentId: null, facilityId: plain?.facilityId ?? '', pavementYear: 2031, yearsBefore: 2 }],
      chosen: [{ segmentId: plain?.id ?? '', year: null, sealantClass: null }],
    };
    const { errors, detail } = (await send('POST', '/api/scenarios', { name: 'Plan', inputs })).json();
    expect(errors.map(({ field }: { field: string }) => field.replace('body.inputs.', '')).sort()).toEqual([
      'chosen.0.year',
      'committed.0.sealantClass',
      'committed.1.segmentId',
      'committed.2.sealantClass',
      'committed.2.year',
      'committed.3',
      'committed.3.year',
      'committed.4.year',
      'committed.4.year',
    ]);
    expect(detail).toMatch(/And 8 more/);
  });
});

test('a program that was made before the records, prices or model changed says so', async () => {
  const scenario = await add();
  const program = async () => (await get<Scenario>(`/api/scenarios/${scenario.id}`)).program;
  const write = async (revision: number) => {
    const { madeFrom } = await readPlanningBasis(server.store, '2026-07-01');
    await server.store.writeProgram(scenario.id, sampleProgram([], { revision, madeFrom }));
  };
  await write(1);
  expect(await program()).toMatchObject({ revision: 1, current: true });
  await edit(scenario, { name: 'Other name' });
  expect(await program()).toMatchObject({ current: true });
  await edit({ ...scenario, revision: 2 }, { inputs: { ...defaults, minimumJobM: 10 } });
  expect(await program()).toMatchObject({ current: false });
  await write(3);
  expect(await program()).toMatchObject({ current: true });
  const [first, ...rest] = await server.store.readUnitCosts();
  await server.store.replaceUnitCosts([{ ...first, costPerM: first.costPerM + 1 }, ...rest]);
  expect(await program()).toMatchObject({ current: false });
  await write(3);
  await runForecast(quietly(server));
  expect(await program()).toMatchObject({ current: false });
  await write(3);
  const settings = await server.store.readSettings();
  await server.store.writeSettings({ ...settings, agencyName: 'Roads' });
  expect(await program()).toMatchObject({ current: true });
  await server.store.writeSettings({ ...settings, discountRatePerYear: 0.05 });
  expect(await program()).toMatchObject({ current: false });
});
