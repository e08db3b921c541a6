import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type ClosureRules, ClosureRulesSchema } from '../../server/schemas/closure-rules.ts';
import {
  type Closure,
  type ClosureDefaults,
  ClosureDefaultsSchema,
  type ClosurePlan,
  ClosurePlanSchema,
  type Schedule,
  ScheduleSchema,
} from '../../server/schemas/closures.ts';
import type { Facility } from '../../server/schemas/facility.ts';
import { sampleClosure, sampleSchedule, storedClosure } from '../unit/server/store/sample-closures.ts';
import { CLOSURE_YEAR, sender, startWithProgram } from './closure-agency.ts';
import { getJson } from './demo-app.ts';
import type { TestApp } from './start-app.ts';

let server: TestApp;
let facilities: Facility[];
let defaults: ClosureRules;
let send: ReturnType<typeof sender>;
beforeAll(async () => {
  ({ server, facilities } = await startWithProgram());
  send = sender(server);
  defaults = (await get<ClosureDefaults>('/api/closure-plans/defaults')).rules;
});
afterAll(() => server.close());

const get = <T>(url: string) => getJson<T>(server, url);
async function add(change: Partial<ClosureRules> = {}): Promise<ClosurePlan> {
  const answer = await send('POST', '/api/closure-plans', { name: 'Nights', rules: { ...defaults, ...change } });
  expect([answer.statusCode, answer.json().detail]).toEqual([201, undefined]);
  return answer.json();
}
const edit = ({ id, revision }: ClosurePlan, change: object, ifMatch = `"${revision}"`) =>
  send('PATCH', `/api/closure-plans/${id}`, change, ifMatch);

describe('defaults', () => {
  test('fit the schema, pass the checks, and give a reason for each rule', async () => {
    const answer = await get<ClosureDefaults>('/api/closure-plans/defaults?scenario=plan');
    expect([...Compile(ClosureDefaultsSchema).Errors(answer)]).toEqual([]);
    expect(answer.reasons.map(({ field }) => field).sort()).toEqual(Object.keys(ClosureRulesSchema.properties).sort());
    expect(answer.rules).toMatchObject({ year: CLOSURE_YEAR, gateProfile: 'airfield-50f-rising', scenarioId: 'plan' });
    expect((await add()).rules).toEqual(answer.rules);
  });

  test('keep one of two runways of a district open, and close airfields at night', () => {
    const runways = facilities.filter(({ kind }) => kind === 'runway').map(({ id }) => id);
    expect(runways).toHaveLength(2);
    expect(defaults.exclusions.map(({ facilityIds }) => [...facilityIds].sort())).toEqual([runways.sort()]);
    expect(defaults.windows).toMatchObject([
      { facilityKinds: ['runway'], startsAt: '23:00', lengthHours: 6 },
      { facilityKinds: ['highway'], startsAt: '21:00', lengthHours: 8 },
    ]);
  });

  test('of an unknown scenario are refused', async () => {
    expect((await send('GET', '/api/closure-plans/defaults?scenario=none')).statusCode).toBe(404);
    expect((await send('GET', '/api/closure-plans/defaults?year=1')).statusCode).toBe(400);
  });
});

describe('a plan', () => {
  test('is made, read, changed and deleted, with its revision as entity tag', async () => {
    const made = await send('POST', '/api/closure-plans', { name: 'Nights' });
    const plan: ClosurePlan = made.json();
    expect([...Compile(ClosurePlanSchema).Errors(plan)]).toEqual([]);
    expect([made.statusCode, made.headers.etag, plan.rules, plan.schedule]).toEqual([201, '"1"', defaults, null]);
    const changed = await edit(plan, { rules: { ...defaults, noticeDays: 7 }, note: 'as agreed' });
    expect([changed.statusCode, changed.headers.etag, changed.json().note]).toEqual([200, '"2"', 'as agreed']);
    expect(await get(`/api/closure-plans/${plan.id}`)).toEqual(changed.json());
    const { plans } = await get<{ plans: ClosurePlan[] }>('/api/closure-plans');
    expect(plans.map(({ id }) => id)).toContain(plan.id);
    expect((await send('DELETE', `/api/closure-plans/${plan.id}`)).statusCode).toBe(204);
    expect((await send('DELETE', `/api/closure-plans/${plan.id}`)).statusCode).toBe(404);
  });

  test('changed under an older revision says what changed since and keeps what the first one did', async () => {
    const plan = await add();
    await edit(plan, { rules: { ...defaults, noticeDays: 7 } });
    const late = await edit(plan, { name: 'Mine' });
    expect([late.statusCode, late.headers['content-type']]).toEqual([412, expect.stringContaining('problem+json')]);
    expect(late.json()).toMatchObject({
      ...{ status: 412, revision: 2, detail: expect.stringMatching(/rules\.noticeDays.*If-Match: "2"/) },
      changes: [{ revision: 2, sentence: 'Changed rules.noticeDays.', closureId: null }],
    });
    expect(await get(`/api/closure-plans/${plan.id}`)).toMatchObject({ name: 'Nights', rules: { noticeDays: 7 } });
    expect((await send('PATCH', `/api/closure-plans/${plan.id}`, { name: 'Mine' })).statusCode).toBe(428);
  });

  test.each<[string, (rules: ClosureRules) => Partial<ClosureRules>, RegExp]>([
    [
      'an unknown facility',
      () => ({ facilityIds: ['nowhere'] }),
      /facilityIds\.0 is nowhere; expected the id of a facil/,
    ],
    ['an unknown scenario', () => ({ scenarioId: 'none' }), /scenarioId is none; expected the id of a scenario/],
    [
      'an impossible time zone',
      () => ({ timeZone: 'Mars/Base' }),
      /timeZone is Mars\/Base; expected an IANA time zone/,
    ],
    [
      'a window that ends before it begins',
      ({ windows }) => ({ windows: [{ ...windows[0], from: '2027-06-01', to: '2027-05-01' }] }),
      /windows\.0\.to is 2027-05-01; expected 2027-06-01 or later/,
    ],
    [
      'a day that there is not',
      ({ windows }) => ({ windows: [{ ...windows[0], to: '2027-02-30' }] }),
      /windows\.0\.to is 2027-02-30; expected a day of the calendar/,
    ],
    [
      'a date before the earliest',
      () => ({ earliestOn: '2027-06-01', latestOn: '2027-05-01' }),
      /latestOn is 2027-05-01/,
    ],
    [
      'a facility that excludes itself',
      ({ exclusions }) => ({
        exclusions: [{ reason: 'x', facilityIds: [exclusions[0].facilityIds[0], exclusions[0].facilityIds[0]] }],
      }),
      /exclusions\.0\.facilityIds\.1 is .*; expected another facility/,
    ],
    [
      'an operation that no crew does',
      ({ crews }) => ({ crews: [{ ...crews[0], teams: crews[0].teams.slice(0, 2) }] }),
      /crews is none to place rod; expected a crew for each operation/,
    ],
    ['two crews of one id', ({ crews }) => ({ crews: [...crews, ...crews] }), /crews\.1\.id is crew-1, as in entry 1/],
    [
      'an unknown rate',
      () => ({ rates: [{ operation: 'polish', metresPerHour: 3 }] }),
      /rates\.0\.operation is polish/,
    ],
    [
      'more windows than anybody could look through',
      ({ windows }) => ({
        windows: Array.from({ length: 300 }, () => ({ ...windows[0], from: '1950-01-01', to: '2290-01-01' })),
      }),
      /windows is about .* windows; expected at most 200,000/,
    ],
    [
      'a window of no length',
      ({ windows }) => ({ windows: [{ ...windows[0], lengthHours: 1e-9 }] }),
      /windows\.0\.lengthHours is 1e-9; expected 0\.25 h or more/,
    ],
  ])('with %s is refused by field, and nothing is written', async (_what, change, words) => {
    const plan = await add();
    const rules = { ...defaults, ...change(defaults) };
    for (const answer of [
      await send('POST', '/api/closure-plans', { name: 'Bad', rules }),
      await edit(plan, { rules }),
    ])
      expect([answer.statusCode, answer.json().detail]).toEqual([400, expect.stringMatching(words)]);
    expect(await get(`/api/closure-plans/${plan.id}`)).toEqual(plan);
  });
});

describe('closures changed by hand', () => {
  /** Two closures of the two runways on nights that are apart, and one of a road. */
  async function scheduled(change: Partial<ClosureRules> = {}) {
    const plan = await add({ noticeDays: 0, leastChance: 0, ...change });
    const [a, b, road] = facilities;
    const night = (facility: Facility, day: string, next: string, uid: string): Closure =>
      sampleClosure({
        ...{ id: `${facility.id}@${day}T2300+360`, uid: `${plan.id}-${uid}`, facilityId: facility.id },
        ...{ facilityName: facility.name, facilityKind: facility.kind, district: facility.district },
        ...{ startsAt: `${day}T23:00`, endsAt: `${next}T05:00`, opensAt: `${next}T02:30` },
        works: sampleClosure().works.map((work) => ({ ...work, startsAt: `${day}T23:30`, endsAt: `${next}T01:30` })),
      });
    const closures = [
      night(a, '2027-05-03', '2027-05-04', 'a'),
      night(b, '2027-05-04', '2027-05-05', 'b'),
      night(road, '2027-05-06', '2027-05-07', 't'),
    ];
    const schedule = sampleSchedule(
      plan.id,
      closures.map((closure) => storedClosure(closure)),
    );
    const note = { sentence: 'Scheduled.', closureId: null, changedAt: '2026-11-26T10:00:00.000Z' };
    await server.store.closures.writeSchedule(plan.id, 1, schedule, note);
    return { plan: await get<ClosurePlan>(`/api/closure-plans/${plan.id}`), closures };
  }
  const urlOf = (plan: ClosurePlan, { id }: Closure) =>
    `/api/closure-plans/${plan.id}/closures/${encodeURIComponent(id)}`;
  const rulesOf = (conflicts: Closure['conflicts']) => conflicts.map(({ rule }) => rule).sort();

  test('are answered with their schedule; a plan without one says so', async () => {
    const { plan, closures } = await scheduled();
    const schedule = await get<Schedule>(`/api/closure-plans/${plan.id}/schedule`);
    expect([...Compile(ScheduleSchema).Errors(schedule)]).toEqual([]);
    expect(schedule.closures).toEqual(closures);
    expect(schedule).toMatchObject({ planRevision: 2, planName: 'Nights' });
    const none = await send('GET', `/api/closure-plans/${(await add()).id}/schedule`);
    expect([none.statusCode, none.json().type]).toEqual([404, '/api/docs#no-schedule']);
  });

  test('a move that breaks rules is told with each of them before and after it is made', async () => {
    const { plan, closures } = await scheduled();
    const url = urlOf(plan, closures[0]);
    const free = await send('POST', `${url}/check`, { startsAt: '2027-05-10T23:00' });
    expect([free.statusCode, free.json()]).toEqual([200, { conflicts: [] }]);
    const clash = (await send('POST', `${url}/check`, { startsAt: '2027-05-04T23:00' })).json();
    expect(rulesOf(clash.conflicts)).toEqual(['crews-busy', 'exclusion']);
    expect(clash.conflicts[0].sentence).toContain('One runway stays open.');
    const noon = (await send('POST', `${url}/check`, { startsAt: '2027-05-10T12:00' })).json();
    expect(rulesOf(noon.conflicts)).toEqual(['no-window']);
    expect(await get(`/api/closure-plans/${plan.id}`)).toEqual(plan);
    const moved = await send('PATCH', url, { startsAt: '2027-05-04T23:00', locked: true }, '"2"');
    expect([moved.statusCode, moved.headers.etag]).toEqual([200, '"3"']);
    expect(moved.json().closure).toMatchObject({
      ...{ uid: closures[0].uid, sequence: 1, locked: true, byHand: true },
      ...{ startsAt: '2027-05-04T23:00', endsAt: '2027-05-05T05:00', opensAt: '2027-05-05T02:30' },
      conflicts: clash.conflicts,
    });
    const { weatherChance, finishChance, finishInterval, finishWords } = moved.json().closure;
    expect(finishChance > 0 && finishChance < weatherChance + 0.05).toBe(true);
    expect(finishInterval[0] < finishChance && finishChance < finishInterval[1]).toBe(true);
    expect(finishWords).toMatch(/^Pace and weather drawn 1,000 times from \d+ years of record/);
    expect(moved.json().closure.works[0]).toMatchObject({ startsAt: '2027-05-04T23:30', endsAt: '2027-05-05T01:30' });
  });

  test('a move tells those it runs into of their conflicts, and clears them when it goes away', async () => {
    const { plan, closures } = await scheduled();
    const stored = async () => (await get<Schedule>(`/api/closure-plans/${plan.id}/schedule`)).closures;
    const hit = closures.find(({ startsAt }) => startsAt === '2027-05-04T23:00') as Closure;
    const there = await send('PATCH', urlOf(plan, closures[0]), { startsAt: hit.startsAt }, '"2"');
    expect(there.json().others.map(({ id }: Closure) => id)).toEqual([hit.id]);
    const told = (await stored()).find(({ uid }) => uid === hit.uid);
    expect([rulesOf(told?.conflicts ?? []), told?.sequence]).toEqual([['crews-busy', 'exclusion'], hit.sequence + 1]);
    const away = await send('PATCH', urlOf(plan, there.json().closure), { startsAt: '2027-05-12T23:00' }, '"3"');
    expect(away.json().others.map(({ conflicts }: Closure) => conflicts)).toEqual([[]]);
    expect((await stored()).flatMap(({ conflicts }) => conflicts)).toEqual([]);
  });

  test('the second of two editors is told what the first did to which closure, and loses nothing', async () => {
    const { plan, closures } = await scheduled();
    const first = await send('PATCH', urlOf(plan, closures[0]), { startsAt: '2027-05-12T23:00' }, '"2"');
    expect(first.statusCode).toBe(200);
    for (const closure of closures) {
      const second = await send('PATCH', urlOf(plan, closure), { note: 'mine' }, '"2"');
      expect([second.statusCode, second.json().revision]).toEqual([412, 3]);
      expect(second.json().changes).toEqual([
        {
          ...{ revision: 3, changedAt: expect.any(String), closureId: first.json().closure.id },
          sentence: `The closure of ${facilities[0].name} on Mon 3 May 2027 23:00 was moved to Wed 12 May 2027 23:00.`,
        },
      ]);
    }
    expect((await send('PATCH', urlOf(plan, closures[1]), { note: 'mine' }, '"3"')).statusCode).toBe(200);
    const { closures: now } = await get<Schedule>(`/api/closure-plans/${plan.id}/schedule`);
    expect(now.map(({ startsAt, note }) => [startsAt, note]).sort()).toEqual([
      ['2027-05-04T23:00', 'mine'],
      ['2027-05-06T23:00', ''],
      ['2027-05-12T23:00', ''],
    ]);
  });

  test('one is marked as lost or done with its metres, and then stays where it is', async () => {
    const { plan, closures } = await scheduled();
    const lost = await send('PATCH', urlOf(plan, closures[0]), { state: 'lost', doneM: 20 }, '"2"');
    expect(lost.json().closure).toMatchObject({ state: 'lost', doneM: 20, sequence: 1 });
    const moved = await send('PATCH', urlOf(plan, closures[0]), { startsAt: '2027-05-12T23:00' }, '"3"');
    expect([moved.statusCode, moved.json().detail]).toEqual([409, expect.stringMatching(/is lost; only a planned/)]);
    const much = await send('PATCH', urlOf(plan, closures[1]), { doneM: 1e6 }, '"3"');
    expect([much.statusCode, much.json().errors[0].field]).toEqual([400, 'body.doneM']);
  });

  test('windows say where a closure may go, with the weather and what bars it', async () => {
    const [{ id }] = facilities;
    const barred = [{ name: 'Air show', facilityId: id, from: '2027-05-08', to: '2027-05-09' }];
    const { plan } = await scheduled({ barred, noticeDays: 28 });
    const { windows } = await get<{ windows: { startsAt: string; weatherChance: number; barred: string | null }[] }>(
      `/api/closure-plans/${plan.id}/windows?facility=${encodeURIComponent(id)}`,
    );
    expect(windows).toHaveLength(365);
    expect(windows.find(({ startsAt }) => startsAt === '2027-05-09T23:00')?.barred).toMatch(/Air show/);
    expect(windows.find(({ startsAt }) => startsAt === '2027-05-10T23:00')?.barred).toBeNull();
    const chance = (day: string) => windows.find(({ startsAt }) => startsAt.startsWith(day))?.weatherChance ?? -1;
    expect(chance('2027-07-15')).toBeGreaterThan(chance('2027-01-15'));
    expect(chance('2027-01-15')).toBeGreaterThanOrEqual(0);
    expect((await send('GET', `/api/closure-plans/${plan.id}/windows?facility=none`)).statusCode).toBe(404);
    expect((await send('GET', `/api/closure-plans/${plan.id}/windows`)).statusCode).toBe(400);
  });

  test.each<[object, number]>([
    [{ startsAt: '2027-13-45T99:99' }, 400],
    [{ startsAt: '2027-02-30T23:00' }, 400],
    [{ startsAt: '0000-00-00T00:00' }, 400],
    [{ startsAt: 5 }, 400],
    [{ locked: null }, 400],
    [{ state: 'gone' }, 400],
    [{ doneM: -1 }, 400],
    [{ other: 1 }, 400],
    [{ startsAt: '9999-12-31T23:59' }, 400],
    [{ startsAt: '2300-12-31T23:59' }, 200],
    [{}, 200],
  ])('an edit of %j is answered with %i', async (change, status) => {
    const { plan, closures } = await scheduled();
    expect((await send('PATCH', urlOf(plan, closures[0]), change, '"2"')).statusCode).toBe(status);
    if (status === 400 && 'startsAt' in change)
      expect((await send('POST', `${urlOf(plan, closures[0])}/check`, change)).statusCode).toBe(400);
  });

  test('one that there is not is not found', async () => {
    const { plan } = await scheduled();
    for (const id of ['none', '..%2f', '%00', 'x'.repeat(150)])
      expect(
        (await send('PATCH', `/api/closure-plans/${plan.id}/closures/${id}`, { note: '' }, '"2"')).statusCode,
      ).toBe(404);
  });
});
