import fc from 'fast-check';
import type { InjectOptions, Response } from 'light-my-request';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import { FilterSchema } from '../../server/schemas/filter.ts';
import { SettingsSchema } from '../../server/schemas/settings.ts';
import { sampleReport } from '../unit/server/programs/sample-report.ts';
import { sampleInputs, sampleProgram, sampleWork } from '../unit/server/store/sample-program.ts';
import { getJson, quietly } from './demo-app.ts';
import { addressPart, BROKEN_BODIES, CONTENT_TYPES, damaged, json } from './hostile-inputs.ts';
import { LOOPBACK, load } from './load-over-http.ts';
import { SMALL_AGENCY } from './small-agency.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
let asked = 0;
beforeAll(async () => {
  server = await startApp({ maxUploadBytes: 100_000 });
  await load(server, SMALL_AGENCY);
  await runForecast(quietly(server));
  await server.store.addScenario({ ...SCENARIO, inputs: sampleInputs(), createdAt: '2026-07-01T00:00:00.000Z' });
  await server.store.writeProgram(SCENARIO.id, sampleProgram([sampleWork('S1')], { report: sampleReport() }));
  const { paths } = await getJson<{ paths: Record<string, Record<string, unknown>> }>(server, '/api/docs/json');
  for (const [url, methods] of Object.entries(paths)) {
    for (const method of Object.keys(methods)) ROUTES.push({ method: method.toUpperCase() as Method, url });
  }
});
afterAll(() => server.close());

type Method = NonNullable<InjectOptions['method']>;
const ROUTES: { method: Method; url: string }[] = [];
const METHODS: Method[] = ['GET', 'HEAD', 'POST', 'PUT', 'DELETE', 'PATCH', 'OPTIONS'];

const SCENARIO = { id: 'plan', name: 'Plan', note: '' } as const;
const SCENARIO_URL = `/api/scenarios/${SCENARIO.id}`;

/** What must not move: counts and versions of the records, settings, prices and scenarios. */
const state = async () => ({
  records: await server.store.countRecords(),
  dataVersion: await server.store.dataVersion(),
  settings: await server.store.readSettings(),
  prices: await server.store.readUnitCosts(),
  scenarios: await server.store.listScenarios(),
});

const INTERNALS = /node_modules|\/server\/|\.ts:|\.js:|SQLITE|stack|at Object\./;

/** Never a fault of ours; a refusal is a problem answer that says something and gives no internals away. */
function expectCivil(request: InjectOptions, answer: Response): void {
  asked++;
  const told = `${request.method} ${String(request.url).slice(0, 200)} ${String(request.payload).slice(0, 200)}`;
  if (answer.statusCode >= 500) throw new Error(`${answer.statusCode} to ${told}: ${answer.body}`);
  if (answer.statusCode < 400 || request.method === 'HEAD') return;
  expect([told, answer.headers['content-type']]).toEqual([told, expect.stringContaining('application/problem+json')]);
  const problem = answer.json();
  expect([told, problem.status]).toEqual([told, answer.statusCode]);
  expect(`${problem.title}${problem.detail}`).not.toMatch(INTERNALS);
}

async function send(request: InjectOptions): Promise<Response> {
  const answer = await server.app.inject({ ...request, headers: { ...LOOPBACK, ...request.headers } });
  expectCivil(request, answer);
  return answer;
}

/** Work that a request began is stopped, so that none of it runs on beside the next. */
async function stopJobs(): Promise<void> {
  for (const job of await server.jobs.list(20)) if (!job.finishedAt) await server.jobs.cancel(job.id);
}

describe('addresses', () => {
  test('any words in the place of ids and tile numbers', async () => {
    const before = await state();
    const gets = ROUTES.filter(({ url }) => url.includes('{'));
    const request = fc.tuple(fc.nat(gets.length - 1), fc.array(addressPart, { minLength: 3, maxLength: 3 }));
    await fc.assert(
      fc.asyncProperty(request, async ([index, parts]) => {
        const { method, url } = gets[index];
        let i = 0;
        await send({ method, url: url.replaceAll(/\{\w+\}/g, () => parts[i++]) });
      }),
      { seed: 1, numRuns: 350 },
    );
    expect(await state()).toEqual(before);
  });

  test('any method, any path under the API', async () => {
    const before = await state();
    const request = fc.record({
      method: fc.constantFrom(...METHODS),
      parts: fc.array(fc.oneof(addressPart, fc.constantFrom('api', 'segments', 'loads', 'jobs', 'docs', 'tiles')), {
        maxLength: 6,
      }),
    });
    await fc.assert(
      fc.asyncProperty(request, async ({ method, parts }) => {
        await send({ method, url: `/api/${parts.join('/')}` });
      }),
      { seed: 2, numRuns: 200 },
    );
    expect(await state()).toEqual(before);
  });
});

test('any query on every address that is read', async () => {
  const names = [...Object.keys(FilterSchema.properties), 'sort', 'limit', 'after', 'descending', 'units', 'v', 'name'];
  const urls = ROUTES.filter(({ method, url }) => method === 'GET' && !url.includes('{')).map(({ url }) => url);
  urls.push('/api/tiles/0/0/0.mvt', '/api/segments/S1', `${SCENARIO_URL}/work`, `${SCENARIO_URL}/program`);
  names.push('scenario', 'year', 'minYear', 'why', 'from');
  const before = await state();
  const query = fc.array(fc.tuple(fc.oneof(fc.constantFrom(...names), addressPart), addressPart), { maxLength: 4 });
  await fc.assert(
    fc.asyncProperty(fc.constantFrom(...urls), query, async (url, members) => {
      await send({ method: 'GET', url: `${url}?${members.map(([name, value]) => `${name}=${value}`).join('&')}` });
    }),
    { seed: 3, numRuns: 450 },
  );
  expect(await state()).toEqual(before);
});

test('page marks that this server did not give', async () => {
  const token = json.map((value) => Buffer.from(JSON.stringify(value) ?? '').toString('base64url'));
  const close = fc
    .tuple(fc.constantFrom('id', 'ageYears', 'dueYear'), json, json)
    .map(([sort, value, row]) => Buffer.from(JSON.stringify([sort, 0, value, row])).toString('base64url'));
  await fc.assert(
    fc.asyncProperty(fc.oneof(token, close), fc.constantFrom('id', 'ageYears'), async (after, sort) => {
      await send({ method: 'GET', url: `/api/segments?sort=${sort}&after=${after.slice(0, 500)}` });
      await send({ method: 'GET', url: `${SCENARIO_URL}/work?after=${after.slice(0, 500)}` });
    }),
    { seed: 4, numRuns: 150 },
  );
});

describe('bodies', () => {
  const POSTS = ['/api/forecasts', '/api/loads', '/api/scenarios', `${SCENARIO_URL}/copy`];
  const WRITES = [...POSTS, '/api/settings', '/api/unit-costs', '/api/loads/none', SCENARIO_URL];
  const methodOf = (url: string): Method => (POSTS.includes(url) ? 'POST' : url === SCENARIO_URL ? 'PATCH' : 'PUT');

  test('damaged settings are refused, or are kept as sent with the defaults that the schema tells', async () => {
    const sound = await server.store.readSettings();
    const defaults = Object.fromEntries(
      Object.entries(SettingsSchema.properties).flatMap(([name, schema]) =>
        'default' in schema ? [[name, schema.default]] : [],
      ),
    );
    await fc.assert(
      fc.asyncProperty(damaged(sound), async (payload) => {
        const text = JSON.stringify(payload);
        const headers = { 'content-type': 'application/json' };
        const answer = await send({ method: 'PUT', url: '/api/settings', headers, payload: text });
        const kept = await server.store.readSettings();
        expect(kept).toEqual(answer.statusCode === 200 ? { ...defaults, ...JSON.parse(text) } : sound);
        if (answer.statusCode === 200) await server.store.writeSettings(sound);
      }),
      { seed: 5, numRuns: 250 },
    );
  });

  test('damaged prices, choices and wishes are refused whole', async () => {
    const price = { sealantClass: 'unknown', jointType: 'any', costPerM: 4, pricedOn: null, priceSource: null };
    const choice = { uploadId: '00000000-0000-4000-8000-000000000000', kind: 'seals', columns: {}, units: {} };
    const bodies = fc.oneof(
      fc.tuple(fc.constant('/api/unit-costs'), fc.array(damaged(price), { minLength: 1, maxLength: 3 })),
      fc.tuple(
        fc.constantFrom('/api/loads', '/api/loads/none'),
        fc.array(damaged(choice), { maxLength: 3 }).map((choices) => ({ choices })),
      ),
      fc.tuple(fc.constant('/api/loads'), damaged({ choices: [choice] })),
      fc.tuple(fc.constant('/api/forecasts'), damaged({ family: 'weibull' })),
      fc.tuple(fc.constantFrom(...WRITES), json),
    );
    const { records, settings, prices } = await state();
    await fc.assert(
      fc.asyncProperty(bodies, async ([url, payload]) => {
        const headers = { 'content-type': 'application/json' };
        const answer = await send({ method: methodOf(url), url, headers, payload: JSON.stringify(payload) });
        if (answer.statusCode < 300) await stopJobs();
        if (url === '/api/unit-costs' && answer.statusCode === 200) await server.store.replaceUnitCosts(prices);
        else expect(await server.store.readUnitCosts()).toEqual(prices);
      }),
      { seed: 6, numRuns: 350 },
    );
    expect(await server.store.countRecords()).toEqual(records);
    expect(await server.store.readSettings()).toEqual(settings);
  });

  test('damaged scenarios are refused whole, and what is taken is kept as sent', async () => {
    const inputs = sampleInputs({
      committed: [{ segmentId: 'S1', year: 2028, sealantClass: null }],
      chosen: [{ segmentId: 'S2', year: 2030, sealantClass: 'silicone-self-levelling' }],
    });
    const { budgets, committed, chosen } = inputs;
    const parts = fc.oneof(
      damaged(inputs),
      damaged(budgets).map((each) => ({ ...inputs, budgets: each })),
      damaged(committed[0]).map((each) => ({ ...inputs, committed: [each] })),
      damaged(chosen[0]).map((each) => ({ ...inputs, chosen: [each, each] })),
      json,
    );
    const edits = fc.oneof(
      parts.map((each) => ({ inputs: each })),
      damaged({ name: 'Plan', note: 'why', locked: false }),
    );
    const ifMatch = fc.oneof(fc.constantFrom('*', '"1"', '"2"', '1', 'W/"1"', '""'), fc.string({ maxLength: 20 }));
    const headers = { 'content-type': 'application/json' };
    const before = await state();
    await fc.assert(
      fc.asyncProperty(edits, ifMatch, async (edit, tag) => {
        const payload = JSON.stringify(edit);
        const url = SCENARIO_URL;
        const answer = await send({ method: 'PATCH', url, payload, headers: { ...headers, 'if-match': tag } });
        const kept = await server.store.findScenario(SCENARIO.id);
        if (answer.statusCode !== 200) expect(kept).toEqual(before.scenarios[0]);
        else {
          expect(kept).toMatchObject(JSON.parse(payload));
          const undo = { ...SCENARIO, inputs: sampleInputs(), locked: false };
          await server.store.changeScenario(SCENARIO.id, null, { locked: false }, '');
          await server.store.changeScenario(SCENARIO.id, null, undo, '');
          before.scenarios = await server.store.listScenarios();
        }
      }),
      { seed: 8, numRuns: 250 },
    );
    await fc.assert(
      fc.asyncProperty(parts, fc.boolean(), async (each, named) => {
        const payload = JSON.stringify({ ...(named ? { name: 'Other' } : {}), inputs: each });
        const answer = await send({ method: 'POST', url: '/api/scenarios', payload, headers });
        if (answer.statusCode === 201) await server.store.removeScenario(answer.json().id, null);
      }),
      { seed: 9, numRuns: 150 },
    );
    expect(await state()).toEqual(before);
  });

  test('what is not JSON, under every content type, on every address that takes a body', async () => {
    const before = await state();
    for (const payload of BROKEN_BODIES) {
      for (const url of WRITES) {
        const headers = { 'content-type': 'application/json' };
        const answer = await send({ method: methodOf(url), url, headers: { ...headers, 'if-match': '*' }, payload });
        expect([url, answer.statusCode >= 400]).toEqual([url, true]);
      }
    }
    for (const type of CONTENT_TYPES) {
      for (const url of [...WRITES, '/api/uploads?name=a', '/api/loads/none/commit', '/api/jobs/none/cancel']) {
        for (const payload of ['{"a":1}', '\u0000', '']) {
          const method =
            url.startsWith('/api/uploads') || url.endsWith('l') || url.endsWith('t') ? 'POST' : methodOf(url);
          await send({ method, url, headers: { 'content-type': type }, payload });
        }
      }
    }
    expect(await state()).toEqual(before);
  });
});

test('odd headers', async () => {
  const names = [
    'if-none-match',
    'accept',
    'accept-encoding',
    'range',
    'cookie',
    'x-forwarded-host',
    'accept-language',
  ];
  const header = fc.tuple(fc.constantFrom(...names), fc.string({ maxLength: 60 }));
  await fc.assert(
    fc.asyncProperty(header, fc.nat(ROUTES.length - 1), async ([name, value], index) => {
      const { method, url } = ROUTES[index];
      if (method !== 'GET') return;
      await send({ method, url: url.replaceAll(/\{\w+\}/g, '0'), headers: { [name]: value } });
    }),
    { seed: 7, numRuns: 150 },
  );
});

test('more than 2,200 requests were made, and the server is as it was', async () => {
  expect(asked).toBeGreaterThan(2_200);
  await stopJobs();
  await server.store.checkIntegrity();
  expect(await getJson(server, '/api/records')).toMatchObject({ segments: 3, seals: 3, inspections: 6 });
  expect(Object.keys(Object.prototype)).toEqual([]);
});
