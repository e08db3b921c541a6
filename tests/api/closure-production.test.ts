import { afterAll, beforeAll, expect, test } from 'vitest';
import type { ClosureRules } from '../../server/schemas/closure-rules.ts';
import type { ClosureDefaults, ClosureProduction } from '../../server/schemas/closures.ts';
import type { Facility } from '../../server/schemas/facility.ts';
import { sender, startWithProgram } from './closure-agency.ts';
import { getJson } from './demo-app.ts';
import type { TestApp } from './start-app.ts';

let server: TestApp;
let rules: ClosureRules;
let defaults: ClosureDefaults;
let facilities: Facility[];
let lengthOf: (facilityId: string) => number;
beforeAll(async () => {
  const started = await startWithProgram();
  ({ server, facilities } = started);
  lengthOf = (id) =>
    started.works.filter(({ facilityId }) => facilityId === id).reduce((sum, { lengthM }) => sum + lengthM, 0);
  defaults = await getJson<ClosureDefaults>(server, '/api/closure-plans/defaults');
  rules = defaults.rules;
});
afterAll(() => server.close());

async function production(change: Partial<ClosureRules> = {}): Promise<ClosureProduction> {
  const answer = await sender(server)('POST', '/api/closure-plans/production', { rules: { ...rules, ...change } });
  expect([answer.statusCode, answer.json().detail]).toEqual([200, undefined]);
  return answer.json();
}
/** Of runways, whose old seal is poured or none: saw and blast as by hand below. */
const onRunways = async (change: Partial<ClosureRules> = {}) => {
  const { rows } = await production(change);
  return rows.filter(({ window, sealsInPlace }) => window === 0 && /hot-applied|poly/.test(sealsInPlace.join(' ')));
};

test('a night holds what is left of it at the pace of the slowest team, by hand', async () => {
  // 360 min - 30 set up - max(30 clear away, 240 until polysulfide opens) = 90 min. Minutes a metre, from rates an hour:
  // two saws 60/240 + 60/210 = 0.536, blaster 60/75 + 60/225 = 1.067, sealing 60/210 + 60/150 + 60/300 = 0.886.
  // Of the 90 min 15 % are left free for a slow night unless the rules say otherwise.
  const rows = await onRunways();
  expect(rows.length).toBeGreaterThan(0);
  for (const { workMinutes, metres } of rows) {
    expect(workMinutes).toBe(90);
    expect(metres).toBeCloseTo((0.85 * 90) / (60 / 75 + 60 / 225), 9);
  }
});

test('all of the year’s work is counted once in each window that it may be done in', async () => {
  const { rows, refusedM } = await production();
  const counted = (window: number) =>
    rows.filter((row) => row.window === window).reduce((sum, { lengthM }) => sum + lengthM, 0);
  const of = (kind: Facility['kind']) =>
    facilities.filter((facility) => facility.kind === kind).reduce((sum, { id }) => sum + lengthOf(id), 0);
  expect(counted(0)).toBeCloseTo(of('runway'), 6);
  expect(counted(1)).toBeCloseTo(of('highway'), 6);
  expect(refusedM).toBe(0);
});

test('a second crew doubles what a closure does where it has room, and an earlier opening leaves more time', async () => {
  const [one] = await onRunways();
  const [crew] = rules.crews;
  const crews = [crew, { ...crew, id: 'crew-2', name: 'Crew 2' }];
  const [two] = await onRunways({ crews, crewsAtOnce: 2 });
  expect(two.metres).toBeCloseTo(2 * Number(one.metres), 9);
  expect((await onRunways({ crews }))[0].metres).toBeCloseTo(Number(one.metres), 9);
  const [early] = await onRunways({ openingMinutes: [{ sealantClass: 'polysulfide', minutes: 60 }] });
  expect(early.workMinutes).toBe(270);
  for (const { closures, lengthM, facilities: count, metres } of [one, two, early])
    expect(Number(closures)).toBeLessThanOrEqual(lengthM / Number(metres) + count);
});

test('where nothing can be done it says why', async () => {
  const why = async (change: Partial<ClosureRules>) => (await onRunways(change))[0].why;
  expect(await why({ setUpMinutes: 200 })).toMatch(/leave no time for work/);
  expect(await why({ crews: [{ ...rules.crews[0], families: ['silicone'] }] })).toMatch(/No crew/);
  expect(await why({ washAfterSawing: true })).toMatch(/dry 12 h/);
  const windows = rules.windows.map((each) => ({ ...each, weekdays: ['monday' as const], to: each.from }));
  expect(await why({ windows })).toMatch(/no such day/);
  const answer = await sender(server)('POST', '/api/closure-plans/production', { rules: { ...rules, timeZone: 'X' } });
  expect(answer.statusCode).toBe(400);
  expect(answer.json().errors[0].field).toBe('body.rules.timeZone');
});

test('time to opening is told under each gate: silicone waits longest where it may be coldest', () => {
  // FAA P-605 as taught: 1 h at 75 °F (23.9 °C), up to 3 h at 40 °F (4.4 °C), straight in between: 146 min at 50 °F.
  const silicone = defaults.openings.find(({ sealantClass }) => sealantClass === 'silicone-non-sag');
  expect(silicone?.minutesByGate).toMatchObject({ 'state-40f': 180, 'airfield-50f-rising': 146 });
  expect(silicone?.minutes).toBe(146);
});
