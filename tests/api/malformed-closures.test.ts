import fc from 'fast-check';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { sampleRules } from '../unit/server/store/sample-closures.ts';
import { sampleInputs } from '../unit/server/store/sample-program.ts';
import { damaged, json } from './hostile-inputs.ts';
import { LOOPBACK, load } from './load-over-http.ts';
import { FACILITIES_CSV, SMALL_AGENCY } from './small-agency.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
const PLAN = '/api/closure-plans';
const rules = sampleRules({
  scenarioId: 'plan',
  exclusions: [{ facilityIds: ['H1', 'H2'], reason: 'One stays open.' }],
  safetyAreas: [{ facilityId: 'H1', needsClosed: 'H2', segmentIds: [], reason: 'Safety area.' }],
  barred: [{ name: 'Fair', facilityId: null, from: '2027-05-20', to: '2027-05-22' }],
  rates: [{ operation: 'saw-faces', metresPerHour: 90 }],
  openingMinutes: [{ sealantClass: 'polysulfide', minutes: 300 }],
});

beforeAll(async () => {
  server = await startApp();
  await load(server, { ...SMALL_AGENCY, 'facilities.csv': `${FACILITIES_CSV}H2,highway,Road 2,2,North,2,,,,,2001,\n` });
  await server.store.addScenario({
    ...{ id: 'plan', name: 'Plan', note: '', inputs: sampleInputs(), createdAt: '2026-07-01T00:00:00.000Z' },
  });
});
afterAll(() => server.close());

/** Sends a body as it is; no answer may be a fault of ours, and a refusal says something. */
async function send(method: 'POST' | 'PATCH', url: string, body: unknown, ifMatch = '*') {
  const payload = JSON.stringify(body);
  const headers = { ...LOOPBACK, 'content-type': 'application/json', 'if-match': ifMatch };
  const answer = await server.app.inject({ method, url, headers, payload });
  const told = `${method} ${url} ${payload?.slice(0, 300)}: ${answer.body.slice(0, 300)}`;
  if (answer.statusCode >= 500) throw new Error(`${answer.statusCode} to ${told}`);
  if (answer.statusCode >= 400) expect([told, answer.json().detail.length > 5]).toEqual([told, true]);
  return answer;
}

/** Rules of which one part, at any depth, is not what it should be. */
const broken = fc.oneof(
  damaged(rules),
  damaged(rules.windows[0]).map((each) => ({ ...rules, windows: [each] })),
  damaged(rules.crews[0]).map((each) => ({ ...rules, crews: [each] })),
  damaged(rules.crews[0].teams[0]).map((each) => ({ ...rules, crews: [{ ...rules.crews[0], teams: [each] }] })),
  damaged(rules.exclusions[0]).map((each) => ({ ...rules, exclusions: [each] })),
  damaged(rules.safetyAreas[0]).map((each) => ({ ...rules, safetyAreas: [each] })),
  damaged(rules.barred[0]).map((each) => ({ ...rules, barred: [each] })),
  damaged(rules.rates[0]).map((each) => ({ ...rules, rates: [each, each] })),
  damaged(rules.openingMinutes[0]).map((each) => ({ ...rules, openingMinutes: [each] })),
  json,
);

test('damaged rules are refused whole, and what is taken is kept as sent', async () => {
  const { id } = (await send('POST', PLAN, { name: 'Nights', rules })).json();
  const url = `${PLAN}/${id}`;
  const tags = fc.oneof(
    { weight: 4, arbitrary: fc.constant('*') },
    { weight: 1, arbitrary: fc.string({ maxLength: 9 }) },
  );
  await fc.assert(
    fc.asyncProperty(broken, tags, async (each, tag) => {
      const answer = await send('PATCH', url, { rules: each }, tag);
      const kept = (await server.store.closures.findClosurePlan(id))?.rules;
      if (answer.statusCode !== 200) {
        expect(kept).toEqual(rules);
        return;
      }
      expect(kept).toMatchObject(JSON.parse(JSON.stringify(each)));
      await server.store.closures.changeClosurePlan(id, null, { rules }, '');
    }),
    { seed: 1, numRuns: 400 },
  );
  await fc.assert(
    fc.asyncProperty(damaged({ name: 'Nights', note: 'why', rules }), async (edit) => {
      const answer = await send('PATCH', url, edit);
      if (answer.statusCode === 200)
        await server.store.closures.changeClosurePlan(id, null, { name: 'Nights', rules }, '');
    }),
    { seed: 2, numRuns: 100 },
  );
});

test('a damaged new plan is not made', async () => {
  const before = await server.store.closures.listClosurePlans();
  await fc.assert(
    fc.asyncProperty(broken, fc.boolean(), async (each, named) => {
      const answer = await send('POST', PLAN, { ...(named ? { name: 'Other' } : {}), rules: each });
      if (answer.statusCode === 201) await server.store.closures.removeClosurePlan(answer.json().id, null);
    }),
    { seed: 3, numRuns: 150 },
  );
  expect(await server.store.closures.listClosurePlans()).toEqual(before);
});

test.each<[string, object, string, string]>([
  [
    'a facility that is not on record',
    { exclusions: [{ facilityIds: ['H1', 'ZZ'], reason: 'x' }] },
    'exclusions.0.facilityIds.1',
    'ZZ',
  ],
  [
    'a pair with itself',
    { exclusions: [{ facilityIds: ['H1', 'H1'], reason: 'x' }] },
    'exclusions.0.facilityIds.1',
    'H1',
  ],
  ['a zone that is none', { timeZone: 'Mars/Olympus' }, 'timeZone', 'Mars/Olympus'],
  ['a day that the calendar does not have', { earliestOn: '2027-02-30' }, 'earliestOn', '2027-02-30'],
  [
    'a clock time that is none',
    { windows: [{ ...rules.windows[0], startsAt: '24:00' }] },
    'windows.0.startsAt',
    '24:00',
  ],
  [
    'a rate of an unknown operation',
    { rates: [{ operation: 'sweep', metresPerHour: 9 }] },
    'rates.0.operation',
    'sweep',
  ],
  ['a rate of 0', { rates: [{ operation: 'wash', metresPerHour: 0 }] }, 'rates.0.metresPerHour', '0'],
])('%s is refused with its field, what was found, and what is allowed', async (_, change, field, found) => {
  const answer = await send('POST', PLAN, { name: 'Other', rules: { ...rules, ...change } });
  expect(answer.statusCode).toBe(400);
  const [error] = answer.json().errors;
  expect(error.field).toMatch(new RegExp(`${field}$`));
  expect(error.found).toContain(found);
  expect(error.expected.length).toBeGreaterThan(5);
});

test('the other bodies of a plan: closures, moves, defaults for nobody', async () => {
  const { id } = (await send('POST', PLAN, { name: 'Third', rules })).json();
  const edit = damaged({ startsAt: '2027-05-03T23:00', locked: true, state: 'lost', doneM: 5, note: 'x' });
  await fc.assert(
    fc.asyncProperty(
      fc.oneof(edit, json),
      fc.constantFrom('a', '../x', '%00', 'H1@2027-05-03T2300+360'),
      async (body, closure) => {
        const at = `${PLAN}/${id}/closures/${encodeURIComponent(closure)}`;
        expect((await send('PATCH', at, body)).statusCode).toBeGreaterThanOrEqual(400);
        expect((await send('POST', `${at}/check`, body)).statusCode).toBeGreaterThanOrEqual(400);
      },
    ),
    { seed: 4, numRuns: 80 },
  );
  for (const query of ['scenario=none', 'year=1', 'year=x', 'scenario=plan&year=2027', 'scenario=plan', 'a=b', ''])
    expect((await server.app.inject({ url: `${PLAN}/defaults?${query}`, headers: LOOPBACK })).statusCode).toBeLessThan(
      500,
    );
});
