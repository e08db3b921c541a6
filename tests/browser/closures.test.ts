import { readFile } from 'node:fs/promises';
import type { Browser, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Closure, ClosurePlan, Schedule } from '../../server/schemas/closures.ts';
import type { Program } from '../../server/schemas/program.ts';
import type { Scenario } from '../../server/schemas/scenario.ts';
import { address } from './agency-here.ts';
import { NARROW, openBrowser, openPage, overflowOf, violationsOf, WIDE } from './open-browser.ts';

const WORKING = { timeout: 150_000 };
/** Few years and little work, so that the tests are done in seconds. */
const YEARS = 1;
/** Of joint at a facility: some nights of work. */
const LEAST_M = 300;
const PLAN = 'Night closures';
let browser: Browser;

async function read<T>(path: string): Promise<T> {
  return (await (await fetch(address + path)).json()) as T;
}
async function send<T>(method: string, path: string, body?: unknown, revision?: number | '*'): Promise<T> {
  const tag = revision === '*' ? '*' : `"${revision}"`;
  const headers = {
    ...(body !== undefined && { 'content-type': 'application/json' }),
    ...(revision !== undefined && { 'if-match': tag }),
  };
  const answer = await fetch(address + path, {
    method,
    headers,
    body: body === undefined ? null : JSON.stringify(body),
  });
  return (answer.status === 204 ? undefined : await answer.json()) as T;
}
const plans = async () => (await read<{ plans: ClosurePlan[] }>('/api/closure-plans')).plans;
async function planOf(name: string): Promise<ClosurePlan> {
  const found = (await plans()).find((plan) => plan.name === name);
  if (!found) throw new Error(`no closure plan is called ${name}`);
  return found;
}
const scheduleOf = async (name: string) => read<Schedule>(`/api/closure-plans/${(await planOf(name)).id}/schedule`);
const byUid = async (uid: string): Promise<Closure> => {
  const found = (await scheduleOf(PLAN)).closures.find((closure) => closure.uid === uid);
  if (!found) throw new Error(`no closure has the uid ${uid}`);
  return found;
};
const bar = (page: Page, { uid }: Pick<Closure, 'uid'>): Locator => page.locator(`[id="closure-${uid}"]`);
interface Window {
  readonly startsAt: string;
  readonly barred: string | null;
}
const windowsOf = async (facilityId: string): Promise<Window[]> => {
  const path = `/api/closure-plans/${(await planOf(PLAN)).id}/windows?facility=${encodeURIComponent(facilityId)}`;
  return (await read<{ windows: Window[] }>(path)).windows;
};
const IN_SIGHT_MS = 20 * 86_400_000;
/** One that was not changed by hand and has a free window a little later. */
async function movable({ closures }: Schedule): Promise<Closure> {
  for (const closure of [...closures].reverse()) {
    if (closure.state !== 'planned' || closure.locked || closure.byHand) continue;
    const taken = closures.filter(({ facilityId }) => facilityId === closure.facilityId).map((each) => each.startsAt);
    const isFree = ({ startsAt, barred }: Window) =>
      barred === null &&
      startsAt > closure.startsAt &&
      Date.parse(startsAt) - Date.parse(closure.startsAt) < IN_SIGHT_MS &&
      !taken.includes(startsAt);
    if ((await windowsOf(closure.facilityId)).some(isFree)) return closure;
  }
  throw new Error('no closure has a free window after it');
}

beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(async () => {
  await browser.close();
  for (const { id } of await plans()) await send('DELETE', `/api/closure-plans/${id}`);
  const { scenarios } = await read<{ scenarios: Scenario[] }>('/api/scenarios');
  for (const { id } of scenarios) await send('DELETE', `/api/scenarios/${id}`, undefined, '*');
});

test('an operator makes a plan from a year of the program, schedules it, leaves, and reads what is placed', async () => {
  const scenarioId = await madeProgram();
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/closures`);
  await page.getByRole('button', { name: /^(Make the first closure plan|New closure plan)$/ }).click();
  const dialog = page.getByRole('dialog', { name: 'New closure plan' });
  await dialog.getByLabel('Name', { exact: true }).fill(PLAN);
  await dialog.getByLabel('Program of').selectOption(scenarioId);
  const { years } = await read<Program>(`/api/scenarios/${scenarioId}/program`);
  await dialog.getByLabel('Year of the program').selectOption(String(years[0].year));
  expect(await violationsOf(page)).toEqual([]);
  await dialog.getByRole('button', { name: 'Make it', exact: true }).click();
  await expect.poll(async () => (await plans()).some(({ name }) => name === PLAN)).toBe(true);
  await fewFacilities(scenarioId, years[0].year);
  await page.reload();

  await page.getByRole('button', { name: 'Make the schedule' }).click();
  await page
    .getByText(/^Closures of Night closures/)
    .first()
    .waitFor();
  await page.reload();
  await expect.poll(async () => (await planOf(PLAN)).schedule?.current, WORKING).toBe(true);
  await page.getByRole('tab', { name: 'Schedule', exact: true }).click();
  await page.getByRole('heading', { name: 'Calendar' }).waitFor(WORKING);
  const { closures, cautions } = await scheduleOf(PLAN);
  expect(closures.length).toBeGreaterThan(2);
  await page.getByText(new RegExp(`are placed in ${closures.length} closures of`)).waitFor();
  await page.getByText(/Proven: no schedule places/).waitFor();
  const table = page.getByRole('region', { name: /^Closures in an order to be chosen/ });
  // Only the rows in sight are in the page; the table tells its whole count, the head included.
  expect(await table.locator('table').getAttribute('aria-rowcount')).toBe(String(closures.length + 1));
  expect(await table.locator('tbody tr[data-index]').count()).toBeGreaterThan(2);
  await page.getByText(cautions[0]).waitFor();
  expect(faults.filter((fault) => !/404/.test(fault))).toEqual([]);
  await context.close();
});

/** A scenario with a program, made without the page. */
async function madeProgram(): Promise<string> {
  const { inputs } = await read<{ inputs: Scenario['inputs'] }>('/api/scenarios/defaults');
  const wanted = { ...inputs, horizonYears: YEARS, budgets: { ...inputs.budgets, everyYear: 400_000 } };
  const { id } = await send<Scenario>('POST', '/api/scenarios', { name: 'One year', inputs: wanted });
  await send('POST', `/api/scenarios/${id}/program`);
  await expect.poll(async () => (await read<Scenario>(`/api/scenarios/${id}`)).program?.current, WORKING).toBe(true);
  return id;
}

/** The plan narrowed to two facilities, and to nights of a summer in which their work has room: soon proven. */
async function fewFacilities(scenarioId: string, year: number): Promise<void> {
  const { items } = await read<{ items: { facilityId: string; lengthM: number }[] }>(
    `/api/scenarios/${scenarioId}/work?year=${year}&limit=1000`,
  );
  const lengths = new Map<string, number>();
  for (const { facilityId, lengthM } of items) lengths.set(facilityId, (lengths.get(facilityId) ?? 0) + lengthM);
  const enough = [...lengths].filter(([, lengthM]) => lengthM > LEAST_M).sort(([, a], [, b]) => a - b);
  const facilityIds = enough.slice(0, 2).map(([facilityId]) => facilityId);
  const plan = await planOf(PLAN);
  const [usual] = plan.rules.windows;
  // The first of these nights lie within the days of notice.
  const weekdays = ['monday', 'tuesday', 'wednesday', 'thursday', 'friday'];
  const nights = { weekdays, startsAt: '22:00', lengthHours: 8 };
  const season = { from: `${year}-07-07`, to: `${year}-09-30` };
  const windows = [{ ...usual, ...nights, ...season, name: 'Five nights a week', facilityKinds: [] }];
  const rules = { ...plan.rules, facilityIds, windows, leastChance: 0 };
  await send('PATCH', `/api/closure-plans/${plan.id}`, { rules }, plan.revision);
}

test('arrow keys go from closure to closure; one is moved by key, its conflicts are told, and it is locked', async () => {
  const plan = await planOf(PLAN);
  const schedule = await scheduleOf(PLAN);
  const moved = await movable(schedule);
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/closures?plan=${plan.id}&part=schedule&closure=${encodeURIComponent(moved.uid)}`);
  await page.getByRole('region', { name: 'Closure card' }).waitFor();
  await page.keyboard.press('Escape');
  await expect.poll(() => page.evaluate(() => document.activeElement?.id)).toBe(`closure-${moved.uid}`);
  const own = schedule.closures.filter(({ facilityId }) => facilityId === moved.facilityId);
  const place = own.findIndex(({ uid }) => uid === moved.uid);
  const [there, back] = place > 0 ? ['ArrowLeft', 'ArrowRight'] : ['ArrowRight', 'ArrowLeft'];
  const beside = own[place > 0 ? place - 1 : place + 1];
  await page.keyboard.press(there);
  await expect.poll(() => page.evaluate(() => document.activeElement?.id)).toBe(`closure-${beside.uid}`);
  await page.keyboard.press(back);
  await expect.poll(() => page.evaluate(() => document.activeElement?.id)).toBe(`closure-${moved.uid}`);
  await page.keyboard.press('Shift+ArrowRight');
  await page.getByText(/It breaks (no rule|\d+ rules?) there/).waitFor(WORKING);
  expect((await byUid(moved.uid)).startsAt).toBe(moved.startsAt);
  await page.keyboard.press('Enter');
  await expect.poll(async () => (await byUid(moved.uid)).startsAt > moved.startsAt).toBe(true);
  await expect.poll(() => page.evaluate(() => document.activeElement?.id)).toBe(`closure-${moved.uid}`);

  await page.keyboard.press('Enter');
  const card = page.getByRole('region', { name: 'Closure card' });
  await card.getByText('moved by hand').waitFor();
  await card.getByRole('button', { name: 'Lock', exact: true }).click();
  await card.getByText('locked', { exact: true }).waitFor();
  expect((await byUid(moved.uid)).locked).toBe(true);
  expect(faults).toEqual([]);
  await context.close();
});

test('a window in which it may not close is offered with its reason, and the rule that is broken stays in sight', async () => {
  const plan = await planOf(PLAN);
  const { closures } = await scheduleOf(PLAN);
  const moved = closures[0];
  const barred = (await windowsOf(moved.facilityId)).findIndex((window) => window.barred !== null);
  expect(barred).toBeGreaterThanOrEqual(0);
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/closures?plan=${plan.id}&part=schedule&closure=${encodeURIComponent(moved.uid)}`);
  const card = page.getByRole('region', { name: 'Closure card' });
  await card.getByRole('button', { name: 'Move…' }).click();
  const dialog = page.getByRole('dialog', { name: /^Move / });
  await dialog.getByRole('checkbox', { name: /may not close/ }).check();
  await dialog.getByRole('radio').nth(barred).check();
  await dialog.getByRole('button', { name: 'Move it all the same' }).click();
  await card.locator('.conflict-list li').first().waitFor();
  const { conflicts } = await byUid(moved.uid);
  expect(conflicts.length).toBeGreaterThan(0);
  await card.getByText(conflicts[0].sentence).waitFor();
  expect(await bar(page, moved).getAttribute('aria-label')).toMatch(/breaks \d+ rule/);
  expect(await violationsOf(page)).toEqual([]);
  await context.close();
});

test('the second of two editors is told what the first one changed, and what was typed is kept', async () => {
  const plan = await planOf(PLAN);
  const { closures } = await scheduleOf(PLAN);
  const [first, second] = closures;
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/closures?plan=${plan.id}&part=schedule&closure=${encodeURIComponent(second.uid)}`);
  const card = page.getByRole('region', { name: 'Closure card' });
  await card.getByLabel('Note').fill('Escort from gate 4');
  const path = `/api/closure-plans/${plan.id}/closures/${encodeURIComponent(first.id)}`;
  await send('PATCH', path, { state: 'lost', doneM: 0 }, plan.revision);

  await card.getByRole('button', { name: 'Save the note' }).click();
  const note = page.getByRole('alert', { name: 'Changed meanwhile' });
  await note.getByText(/marked lost/).waitFor();
  await note.getByText(/Escort from gate 4/).waitFor();
  expect((await byUid(second.uid)).note).toBe('');
  await page.reload();
  expect(await card.getByLabel('Note').inputValue()).toBe('Escort from gate 4');
  expect(await violationsOf(page)).toEqual([]);
  await note.getByRole('button', { name: 'Make my change all the same' }).click();
  await note.waitFor({ state: 'detached' });
  expect((await byUid(second.uid)).note).toBe('Escort from gate 4');
  expect((await byUid(first.uid)).state).toBe('lost');
  expect(faults.filter((fault) => !/412/.test(fault))).toEqual([]);
  await context.close();
});

test('a closure is dragged to another day of its facility', async () => {
  const plan = await planOf(PLAN);
  const moved = await movable(await scheduleOf(PLAN));
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/closures?plan=${plan.id}&part=schedule&closure=${encodeURIComponent(moved.uid)}`);
  const dragged = bar(page, moved);
  await dragged.waitFor();
  const box = await dragged.boundingBox();
  if (!box) throw new Error('the bar is not drawn');
  await dragged.hover();
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2 + 5, box.y + box.height / 2);
  await page.locator('.cal-day.may').first().waitFor();
  const target = await emptyDay(page);
  await page.mouse.move(target.x, target.y, { steps: 4 });
  await page.getByText(/It breaks (no rule|\d+ rules?) there/).waitFor(WORKING);
  await page.mouse.up();
  await expect.poll(async () => (await byUid(moved.uid)).startsAt).not.toBe(moved.startsAt);
  await context.close();
});

/** The middle of a day in which the dragged closure may lie and no bar lies yet. */
const emptyDay = (page: Page): Promise<{ x: number; y: number }> =>
  page.evaluate(() => {
    for (const day of document.querySelectorAll('.cal-day.may')) {
      const { left, top, width, height } = day.getBoundingClientRect();
      const at = { x: left + width / 2, y: top + height / 2 };
      if (document.elementFromPoint(at.x, at.y) === day) return at;
    }
    throw new Error('no day is free');
  });

test('closures go out as calendar, table and packets, and calendars may subscribe', async () => {
  const plan = await planOf(PLAN);
  const { closures } = await scheduleOf(PLAN);
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/closures?plan=${plan.id}&part=schedule&closure=${encodeURIComponent(closures[1].uid)}`);
  const files = page.getByRole('region', { name: 'Take it away' });
  const card = page.getByRole('region', { name: 'Closure card' });
  for (const [link, starts] of [
    [files.getByRole('link', { name: 'Calendar (.ics)' }), 'BEGIN:VCALENDAR'],
    [files.getByRole('link', { name: 'Table (CSV)' }), ''],
    [files.getByRole('link', { name: 'Packets (PDF)' }), '%PDF'],
    [card.getByRole('link', { name: 'Packet (PDF)' }), '%PDF'],
  ] as const) {
    const saving = page.waitForEvent('download');
    await link.click();
    const content = await readFile(await (await saving).path());
    expect(content.length).toBeGreaterThan(100);
    expect(content.subarray(0, starts.length).toString()).toBe(starts);
  }
  const subscribe = await files.getByLabel('Address to subscribe to').inputValue();
  await context.grantPermissions(['clipboard-read', 'clipboard-write'], { origin: address });
  await files.getByRole('button', { name: 'Copy the address' }).click();
  await files.getByRole('status').getByText('Copied.').waitFor();
  expect(await page.evaluate(() => navigator.clipboard.readText())).toBe(subscribe);
  const calendar = await fetch(subscribe);
  expect(calendar.headers.get('content-type')).toMatch(/^text\/calendar/);
  await context.close();
});

test('the map goes from day to day with the slider, and the list beside it is that day’s', async () => {
  const plan = await planOf(PLAN);
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/closures?plan=${plan.id}&part=schedule`);
  const slider = page.getByRole('slider');
  await slider.focus();
  await page.keyboard.press('ArrowRight');
  await expect.poll(() => new URL(page.url()).searchParams.get('day')).not.toBe(null);
  const day = new URL(page.url()).searchParams.get('day');
  const { closures } = await scheduleOf(PLAN);
  const there = closures.filter(({ startsAt, state }) => startsAt.slice(0, 10) === day && state !== 'lost').length;
  const list = page.getByRole('region', { name: /^Closed on / });
  expect(await list.locator('tbody tr').count()).toBe(there);
  await page.locator('.map-canvas canvas').waitFor({ timeout: 45_000 });
  expect(faults).toEqual([]);
  await context.close();
});

test('scheduling is stopped from the screen, and the best schedule so far is kept and said to be that', async () => {
  const { rules } = await read<{ rules: ClosurePlan['rules'] }>('/api/closure-plans/defaults');
  // All facilities of the year by lane: too much to be packed before somebody can press.
  const parts = { closeBy: 'lane', directionsTogether: false, lanesTogether: false, acrossByHalves: true } as const;
  const plan = await send<ClosurePlan>('POST', '/api/closure-plans', { name: 'All roads', rules: { ...rules, parts } });
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/closures?plan=${plan.id}&part=schedule`);
  await page.getByRole('button', { name: 'Make the schedule' }).click();
  const job = page.getByRole('main').getByText(/% of the work placed/);
  await job.first().waitFor(WORKING);
  await page.getByRole('main').getByRole('button', { name: 'Stop and keep the best so far' }).click();
  await page.getByText(/^The search was stopped/).waitFor(WORKING);
  const { proof, closures } = await scheduleOf('All roads');
  expect(proof.ended).toBe('cancelled');
  const named = closures.find(({ part }) => part && part.lanes.length > 0);
  if (!named?.part) throw new Error('no closure is of a lane');
  const spoken = await bar(page, named).getAttribute('aria-label');
  expect(spoken).toContain(`${named.facilityName}, ${named.part.name}, `);
  expect(spoken).toMatch(/chance to finish (under |over )?[\d.]+\s% \(.+ to .+\)/);
  expect(faults.filter((fault) => !/404/.test(fault))).toEqual([]);
  await context.close();
});

test.each([
  ['1440 px, light', WIDE, 'light'],
  ['390 px, dark', NARROW, 'dark'],
] as const)('axe finds nothing on any part at %s, and nothing overflows', async (_, viewport, colorScheme) => {
  const plan = await planOf(PLAN);
  const { closures } = await scheduleOf(PLAN);
  const { context, page, faults } = await openPage(browser, { viewport, colorScheme });
  for (const [part, ready] of [
    ['plans', 'Closure plans'],
    ['schedule', 'Calendar'],
  ] as const) {
    await page.goto(`${address}/closures?plan=${plan.id}&part=${part}`);
    await page.getByRole('heading', { name: ready, exact: true }).waitFor();
    await page.waitForLoadState('networkidle');
    expect(await violationsOf(page)).toEqual([]);
    expect(`${part} overflows by ${await overflowOf(page)}`).toBe(`${part} overflows by 0`);
  }
  await bar(page, closures[1]).click();
  await page.getByRole('heading', { name: 'Order of work' }).waitFor();
  expect(await violationsOf(page)).toEqual([]);
  expect(await overflowOf(page)).toBe(0);
  expect(faults).toEqual([]);
  await context.close();
});
