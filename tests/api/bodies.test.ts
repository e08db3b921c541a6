import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { SettingsSchema } from '../../server/schemas/settings.ts';
import { UnitCostSchema } from '../../server/schemas/unit-cost.ts';
import { getJson } from './demo-app.ts';
import { LOOPBACK } from './load-over-http.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
let settings: Record<string, unknown>;
beforeAll(async () => {
  server = await startApp();
  settings = await getJson(server, '/api/settings');
});
afterAll(() => server.close());

const put = (url: string, payload: object) => server.app.inject({ method: 'PUT', url, headers: LOOPBACK, payload });
const price = {
  sealantClass: 'hot-applied',
  jointType: 'any',
  costPerM: 3.5,
  pricedOn: '2026-01-31',
  priceSource: null,
};
const nullable = (schema: object): boolean => JSON.stringify(schema).includes('"type":"null"');

describe('settings', () => {
  const fields = Object.entries(SettingsSchema.properties);

  test.each(fields.map(([name]) => name))(
    'a null %s is refused, not read as 0, unless null has a meaning',
    async (name) => {
      const answer = await put('/api/settings', { ...settings, [name]: null });
      const mayBeNull = nullable(Object.fromEntries(fields)[name]);
      expect(answer.statusCode).toBe(mayBeNull ? 200 : 400);
      if (!mayBeNull) expect(answer.json().errors[0]).toMatchObject({ field: `body.${name}`, found: 'null' });
    },
  );

  test('numbers as text are refused, not converted', async () => {
    const answer = await put('/api/settings', { ...settings, discountRatePerYear: '0.04' });
    expect(answer.statusCode).toBe(400);
    expect(answer.json().errors).toEqual([{ field: 'body.discountRatePerYear', found: '0.04', expected: 'number' }]);
  });

  test('a field of no such name is refused by name, not dropped', async () => {
    const answer = await put('/api/settings', { ...settings, discountRate: 0.04 });
    expect(answer.statusCode).toBe(400);
    expect(answer.json().detail).toMatch(
      /^body\.discountRate is 0\.04; expected one of the known fields: agencyName, /,
    );
  });

  test('a field left out is refused, not filled in', async () => {
    const { currency: _left, ...rest } = settings;
    const answer = await put('/api/settings', rest);
    expect(answer.json()).toMatchObject({
      status: 400,
      errors: [{ field: 'body.currency', found: 'missing', expected: 'a value' }],
    });
  });

  test.each(['2026-13-45', '2026-02-29', '9999-12-31', '0001-01-01', '2026-7-1', '20260701', '', 'today'])(
    'planning date %j is refused',
    async (planningDate) => {
      const answer = await put('/api/settings', { ...settings, planningDate });
      expect(answer.statusCode).toBe(400);
      expect(answer.json().errors).toEqual([
        { field: 'body.planningDate', found: planningDate || 'empty', expected: expect.stringContaining(' or null') },
      ]);
    },
  );

  test('a refused body changes nothing', async () => {
    expect(await getJson(server, '/api/settings')).toEqual(settings);
  });
});

describe('unit costs', () => {
  test.each(Object.keys(UnitCostSchema.properties))('a null %s is refused, unless null has a meaning', async (name) => {
    const answer = await put('/api/unit-costs', [{ ...price, [name]: null }]);
    const mayBeNull = nullable(Object.fromEntries(Object.entries(UnitCostSchema.properties))[name]);
    expect([name, answer.statusCode]).toEqual([name, mayBeNull ? 200 : 400]);
  });

  test.each([
    [{ costPerM: 0 }, 'body.0.costPerM'],
    [{ costPerM: -1 }, 'body.0.costPerM'],
    [{ costPerM: 1e300 }, 'body.0.costPerM'],
    [{ costPerM: '3.5' }, 'body.0.costPerM'],
    [{ sealantClass: 'tar' }, 'body.0.sealantClass'],
    [{ jointType: 'all' }, 'body.0.jointType'],
    [{ pricedOn: '2025-02-30' }, 'body.0.pricedOn'],
    [{ cost: 3 }, 'body.0.cost'],
  ])('%j is refused', async (change, field) => {
    const answer = await put('/api/unit-costs', [{ ...price, ...change }]);
    expect([answer.statusCode, answer.json().errors[0].field]).toEqual([400, field]);
  });

  test('two prices for the same class and joint type are refused', async () => {
    const answer = await put('/api/unit-costs', [price, { ...price, costPerM: 9 }]);
    expect([answer.statusCode, answer.json().detail]).toEqual([
      400,
      'Unit cost 2 repeats hot-applied / any; expected one price for each.',
    ]);
  });
});

describe('other bodies', () => {
  test.each([
    ['POST', '/api/forecasts', { family: 'gamma' }],
    ['POST', '/api/forecasts', { famly: 'weibull' }],
    ['POST', '/api/forecasts', { family: null }],
    ['POST', '/api/forecasts', []],
    ['POST', '/api/loads', {}],
    ['POST', '/api/loads', { choices: [] }],
    ['POST', '/api/loads', { choices: [{ uploadId: 'x', kind: 'photos' }] }],
    ['POST', '/api/loads', { choices: [{ uploadId: 'x', units: { widthMm: 'furlong' } }] }],
    ['POST', '/api/loads', { choices: [{ uploadId: 'x', swapLonLat: 'yes' }] }],
    ['POST', '/api/loads', { choices: [{ uploadId: 'x', path: '/etc/passwd' }] }],
    ['POST', '/api/loads', { choices: [{ uploadId: '../../etc/passwd' }] }],
    ['POST', '/api/loads', { choices: [{ uploadId: '00000000-0000-0000-0000-000000000000' }] }],
  ] as const)('%s %s refuses %j', async (method, url, payload) => {
    const answer = await server.app.inject({ method, url, headers: LOOPBACK, payload });
    expect(answer.statusCode).toBe(400);
    expect(answer.json().detail).toMatch(/\S/);
  });

  test('the same upload twice in one load is refused', async () => {
    const sent = await server.app.inject({
      method: 'POST',
      url: '/api/uploads?name=a.csv',
      headers: { ...LOOPBACK, 'content-type': 'application/octet-stream' },
      payload: 'id\n1\n',
    });
    const { id } = sent.json();
    const payload = { choices: [{ uploadId: id }, { uploadId: id }] };
    const answer = await server.app.inject({ method: 'POST', url: '/api/loads', headers: LOOPBACK, payload });
    expect([answer.statusCode, answer.json().detail]).toEqual([400, expect.stringContaining('named twice')]);
  });

  test.each(['application/json', 'text/plain', 'multipart/form-data; boundary=x', 'text/xml'])(
    'an upload as %s is refused with what is expected',
    async (type) => {
      const answer = await server.app.inject({
        method: 'POST',
        url: '/api/uploads?name=a.csv',
        headers: { ...LOOPBACK, 'content-type': type },
        payload: '{"a":1}',
      });
      expect([answer.statusCode, answer.json().type]).toEqual([415, '/api/docs#wrong-media-type']);
    },
  );
});
