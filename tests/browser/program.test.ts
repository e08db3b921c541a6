import { readFile } from 'node:fs/promises';
import type { Browser, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Job } from '../../server/schemas/job.ts';
import type { Program, ProgramWorkPage } from '../../server/schemas/program.ts';
import type { Scenario } from '../../server/schemas/scenario.ts';
import { address } from './agency-here.ts';
import { changeScheme, looksWrong, NARROW, openBrowser, openPage, violationsOf } from './open-browser.ts';

const SOLVING = { timeout: 90_000 };
/** Few years, so that the tests solve in seconds. */
const YEARS = 4;
let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(async () => {
  await browser.close();
  for (const { id } of await scenarios())
    await fetch(`${address}/api/scenarios/${id}`, { method: 'DELETE', headers: { 'if-match': '*' } });
});

async function read<T>(path: string): Promise<T> {
  return (await (await fetch(address + path)).json()) as T;
}
const scenarios = async () => (await read<{ scenarios: Scenario[] }>('/api/scenarios')).scenarios;
const named = async (name: string): Promise<Scenario> => {
  const found = (await scenarios()).find((scenario) => scenario.name === name);
  if (!found) throw new Error(`no scenario is called ${name}`);
  return found;
};
const programOf = async (name: string) => read<Program>(`/api/scenarios/${(await named(name)).id}/program`);
const worksOf = async (name: string, query: string) =>
  read<ProgramWorkPage>(`/api/scenarios/${(await named(name)).id}/work?${query}`);

/** A scenario with a program, made without the page. */
async function madeScenario(name: string, everyYear: number | null): Promise<string> {
  const { inputs } = await read<{ inputs: Scenario['inputs'] }>('/api/scenarios/defaults');
  const body = { name, inputs: { ...inputs, horizonYears: YEARS, budgets: { ...inputs.budgets, everyYear } } };
  const headers = { 'content-type': 'application/json' };
  const made = await fetch(`${address}/api/scenarios`, { method: 'POST', headers, body: JSON.stringify(body) });
  const { id } = (await made.json()) as Scenario;
  await fetch(`${address}/api/scenarios/${id}/program`, { method: 'POST' });
  await expect.poll(async () => (await read<Scenario>(`/api/scenarios/${id}`)).program?.current, SOLVING).toBe(true);
  return id;
}

/** Moves the focus to a control with the Tab key alone, as one does without a pointer, from where it is now. */
const press = async (page: Page, control: Locator) => {
  await control.focus();
  await page.keyboard.press('Enter');
};

test('a manager sets a budget, makes the program, leaves during the work and reads the table', async () => {
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/program`);
  await page.getByRole('button', { name: 'Make the first scenario' }).click();
  await page.getByLabel('Name', { exact: true }).fill('Spring budget');
  await page.getByRole('button', { name: 'Make it', exact: true }).click();
  await page.getByLabel('Horizon, years').fill('60');
  await page.getByText('from 1 to 40').waitFor();
  expect(await page.getByRole('button', { name: 'Save and make the program' }).isDisabled()).toBe(true);
  await page.getByLabel('Horizon, years').fill(String(YEARS));
  await page.getByLabel(/^Every year at most/).fill('700,000');
  // What only the server can know is told at its field.
  await page.getByLabel('Segment', { exact: true }).first().fill('NO-SUCH-SEGMENT');
  const { planningDate } = await read<{ planningDate: string }>('/api/model');
  const firstYear = Number(planningDate.slice(0, 4));
  await page.getByLabel('Year', { exact: true }).fill(String(firstYear));
  await page.getByRole('button', { name: 'Commit it' }).click();
  await page.getByRole('button', { name: 'Save', exact: true }).click();
  const committed = page.getByRole('region', { name: 'Committed work' });
  await committed.getByText(/Is NO-SUCH-SEGMENT; expected/).waitFor();
  await committed.getByRole('button', { name: 'Take out NO-SUCH-SEGMENT' }).click();
  expect(await violationsOf(page)).toEqual([]);

  await page.getByRole('button', { name: 'Save and make the program' }).click();
  await expect.poll(async () => (await read<Job[]>('/api/jobs')).some(({ kind }) => kind === 'program')).toBe(true);
  await page.reload();
  await page.getByRole('tab', { name: 'Answer' }).click();
  const table = page.getByRole('region', { name: /^Budget table;/ });
  await table.waitFor(SOLVING);
  const program = await programOf('Spring budget');
  expect(program.years).toHaveLength(YEARS);
  expect(await table.locator('tbody tr').count()).toBe(YEARS);
  for (const { cost } of program.years) expect(cost.median).toBeLessThanOrEqual(700_000 * 1.0001);
  await page.getByText(program.sentence).waitFor();
  await page.getByText(/that is proven/).waitFor();
  await page.getByRole('radio', { name: 'By district and class' }).check();
  expect(await table.locator('tbody tr').count()).toBe(YEARS + program.districts.length + program.rows.length);
  expect(faults.filter((fault) => !/40[04]/.test(fault))).toEqual([]);
  await context.close();
});

test('every picture stands beside its numbers and saves both; the program goes out as files', async () => {
  const { id } = await named('Spring budget');
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/program?scenario=${id}&part=answer`);
  await page.locator('figure svg[role=img]').first().waitFor();
  const saved = async (press: Locator) => {
    const saving = page.waitForEvent('download');
    await press.click();
    return readFile(await (await saving).path());
  };
  for (const figure of await page.locator('figure').all()) {
    expect(await figure.locator('svg[role=img]').getAttribute('aria-label')).toMatch(/\d/);
    expect(await figure.locator('tbody tr').count()).toBeGreaterThan(0);
    expect((await saved(figure.getByRole('button', { name: /SVG/ }))).toString()).toMatch(/^<svg/);
    expect((await saved(figure.getByRole('button', { name: /CSV/ }))).toString().split('\r\n').length).toBeGreaterThan(
      2,
    );
  }
  const files = page.getByRole('region', { name: 'Take it away' });
  for (const [name, starts] of [
    ['Workbook (XLSX)', 'PK'],
    ['Report (PDF)', '%PDF'],
    ['Budget table (CSV)', ''],
    ['Work list (CSV)', ''],
    ['Map (GeoJSON)', '{'],
  ] as const) {
    const content = await saved(files.getByRole('link', { name }));
    expect(content.length).toBeGreaterThan(100);
    expect(content.subarray(0, starts.length).toString()).toBe(starts);
  }
  expect(faults).toEqual([]);
  await context.close();
});

test('the map shows the work of the year on the slider, and the list beside it is that year’s', async () => {
  const { id } = await named('Spring budget');
  const { years } = await programOf('Spring budget');
  const { context, page, faults } = await openPage(browser);
  const tiles: string[] = [];
  page.on('response', (response) => {
    if (response.url().includes('/api/tiles/') && response.url().includes(`scenario=${id}`)) tiles.push(response.url());
  });
  await page.goto(`${address}/program?scenario=${id}&part=answer`);
  const slider = page.getByRole('slider');
  await slider.focus();
  await page.keyboard.press('ArrowRight');
  await expect.poll(() => new URL(page.url()).searchParams.get('year')).toBe(String(years[1].year));
  const list = page.getByRole('region', { name: `Work of ${years[1].year}` });
  const { numberMatched } = await worksOf('Spring budget', `year=${years[1].year}&limit=1`);
  await list.locator(`table[aria-rowcount="${numberMatched + 1}"]`).waitFor();
  await expect.poll(() => tiles.length, { timeout: 45_000 }).toBeGreaterThan(0);
  expect(faults).toEqual([]);
  await context.close();
});

test('a closure group is moved by keyboard, and what that costs is shown before it is kept', async () => {
  const { id } = await named('Spring budget');
  const { years } = await programOf('Spring budget');
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/program?scenario=${id}&part=work&year=${years[0].year}&order=-lengthM`);
  await press(page, page.getByRole('button', { name: /^Move .* to another year$/ }).first());
  const dialog = page.getByRole('dialog', { name: 'Move to another year' });
  const group = dialog.getByRole('radio', { name: /^The closure group/ });
  await group.focus();
  await page.keyboard.press('Space');
  const target = years[2].year;
  await dialog.getByLabel('To year').selectOption(String(target));
  expect(await violationsOf(page, { within: 'dialog' })).toEqual([]);
  await press(page, dialog.getByRole('button', { name: 'Move', exact: true }));
  await page.getByText(/by hand, not solved yet/).waitFor();
  // Not solved yet, and still there after a reload.
  await page.reload();
  await page.getByText(`→ ${target}`).first().waitFor();
  await press(page, page.getByRole('button', { name: 'Solve again around my choices' }));
  const outcome = page.getByRole('region', { name: 'Your choices, solved' });
  await outcome.getByRole('button', { name: 'Keep as a scenario of its own' }).waitFor(SOLVING);
  await outcome.getByText(/^Your choices (add|cost nothing)/).waitFor();
  expect((await named('Spring budget')).inputs.chosen).toEqual([]);
  const trial = await programOf('Spring budget, by hand');
  expect(trial.handMadeCost).not.toBeNull();
  expect(await violationsOf(page, { within: '[aria-labelledby=trial-title]' })).toEqual([]);
  await press(page, outcome.getByRole('button', { name: 'Keep as a scenario of its own' }));
  await expect.poll(() => new URL(page.url()).searchParams.get('scenario')).toBe(trial.scenarioId);
  const { items } = await worksOf('Spring budget, by hand', 'why=chosen&limit=1000');
  expect(new Set(items.map(({ year }) => year))).toEqual(new Set([target]));
  expect(faults).toEqual([]);
  await context.close();
});

test('a segment alone in its closure is dragged to another year', async () => {
  const { id } = await named('Spring budget');
  const { items } = await worksOf('Spring budget', 'limit=1000');
  const work = items.find(({ neighbours }) => neighbours > 0) ?? items[0];
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/program?scenario=${id}&part=work&segmentIds=${encodeURIComponent(work.segmentId)}`);
  const row = page.getByRole('row').filter({ hasText: work.segmentId });
  const to = (await programOf('Spring budget')).years.find(({ year }) => year !== work.year)?.year;
  await row.first().dragTo(page.getByRole('button', { name: new RegExp(`^${to}: `) }));
  const dialog = page.getByRole('dialog');
  await dialog.getByRole('button', { name: 'Move', exact: true }).click();
  await page.getByText(`→ ${to}`).first().waitFor();
  await page.getByRole('button', { name: 'Undo them' }).click();
  await page.getByText(/not solved yet/).waitFor({ state: 'detached' });
  await context.close();
});

test('scenarios stand side by side with the four baselines, and what changes between two is told', async () => {
  await madeScenario('Without limit', null);
  const [spring, free] = [await named('Spring budget'), await named('Without limit')];
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/program?scenario=${spring.id}&part=compare`);
  await page.getByRole('checkbox', { name: 'Without limit' }).check();
  await expect.poll(() => new URL(page.url()).searchParams.get('with')).toBe(free.id);
  const table = page.getByRole('region', { name: /^Programs, then baselines/ });
  await expect.poll(() => table.locator('tbody tr').count()).toBe(6);
  for (const name of ['Do nothing', 'Worst first', 'Fixed cycle', 'All needs met'])
    await table.getByText(name, { exact: true }).waitFor();
  await page.getByRole('heading', { name: 'What changes from one to the other' }).waitFor();
  await page.getByRole('region', { name: /changed works?|Changed works/i }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test('a locked scenario is kept as it is until it is unlocked', async () => {
  const { id } = await named('Without limit');
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/program?scenario=${id}&part=setup`);
  await page.getByRole('button', { name: 'Lock', exact: true }).click();
  await page.getByLabel('Name', { exact: true }).fill('Adopted 2026–2031');
  await page.getByRole('dialog').getByRole('button', { name: 'Lock', exact: true }).click();
  await page.getByText('This scenario is locked', { exact: false }).waitFor();
  expect(await page.getByLabel('Horizon, years').isDisabled()).toBe(true);
  expect((await named('Adopted 2026–2031')).locked).toBe(true);
  await page.getByRole('button', { name: 'Unlock' }).click();
  await expect.poll(() => page.getByLabel('Horizon, years').isDisabled()).toBe(false);
  await context.close();
});

test('wishes that cannot be kept together are told with their numbers, not as an empty program', async () => {
  const spring = await named('Spring budget');
  const program = await programOf('Spring budget');
  const { items } = await worksOf('Spring budget', `year=${program.years[0].year}&limit=20`);
  const inputs = {
    ...spring.inputs,
    horizonYears: 2,
    budgets: { ...spring.inputs.budgets, everyYear: 1000 },
    committed: items.map(({ segmentId, year }) => ({ segmentId, year, sealantClass: null })),
  };
  const headers = { 'content-type': 'application/json' };
  const body = JSON.stringify({ name: 'Too little', inputs });
  const made = (await (await fetch(`${address}/api/scenarios`, { method: 'POST', headers, body })).json()) as Scenario;
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/program?scenario=${made.id}&part=answer`);
  await page.getByRole('button', { name: 'Make the program' }).click();
  await page.getByRole('heading', { name: 'What was asked cannot be kept together' }).waitFor(SOLVING);
  const { conflicts } = await programOf('Too little');
  expect(conflicts.length).toBeGreaterThan(0);
  await page.getByText(conflicts[0].sentence).first().waitFor();
  expect(await violationsOf(page, { within: '.conflicts' })).toEqual([]);
  await context.close();
});

describe('axe finds nothing, and nothing overflows, wide or narrow, light or dark', () => {
  test.each([
    ['scenarios', 'Scenarios'],
    ['setup', 'Budgets'],
    ['answer', 'Spending and budget'],
    ['work', 'Work list'],
    ['compare', 'What each comes to'],
  ] as const)('in the part %s', async (part, ready) => {
    const [spring, free] = [await named('Spring budget'), await named('Adopted 2026–2031')];
    const { context, page, faults } = await openPage(browser);
    await page.goto(`${address}/program?scenario=${spring.id}&with=${free.id}&part=${part}`);
    await page.getByRole('heading', { name: ready, exact: true }).waitFor();
    await page.waitForLoadState('networkidle');
    // Every theme and every width; what depends on both at once is looked at by hand.
    expect(await looksWrong(page, 'wide, light')).toEqual([]);
    await page.setViewportSize(NARROW);
    await changeScheme(page, 'dark');
    expect(await looksWrong(page, 'narrow, dark')).toEqual([]);
    expect(faults).toEqual([]);
    await context.close();
  });
});
