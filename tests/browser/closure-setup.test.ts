import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test, vi } from 'vitest';
import type { ClosurePlan } from '../../server/schemas/closures.ts';
import type { Scenario } from '../../server/schemas/scenario.ts';
import { address } from './agency-here.ts';
import { NARROW, openBrowser, openPage, overflowOf, violationsOf } from './open-browser.ts';

let browser: Browser;
let scenarioId: string;
let planId: string;

async function ask<T>(path: string, method = 'GET', body?: unknown, ifMatch = '*'): Promise<T> {
  const headers = { 'if-match': ifMatch, ...(body === undefined ? {} : { 'content-type': 'application/json' }) };
  const answer = await fetch(address + path, { method, headers, body: JSON.stringify(body) });
  return (answer.status === 204 ? undefined : await answer.json()) as T;
}
const plan = () => ask<ClosurePlan>(`/api/closure-plans/${planId}`);

beforeAll(async () => {
  browser = await openBrowser();
  const { inputs } = await ask<{ inputs: Scenario['inputs'] }>('/api/scenarios/defaults');
  const few = { ...inputs, horizonYears: 3, budgets: { ...inputs.budgets, everyYear: 900_000 } };
  scenarioId = (await ask<Scenario>('/api/scenarios', 'POST', { name: 'For closures', inputs: few })).id;
  await fetch(`${address}/api/scenarios/${scenarioId}/program`, { method: 'POST' });
  const solved = async () => (await ask<Scenario>(`/api/scenarios/${scenarioId}`)).program?.current;
  await vi.waitUntil(solved, { timeout: 60_000, interval: 500 });
  planId = (await ask<ClosurePlan>('/api/closure-plans', 'POST', { name: 'Nights of the airport' })).id;
}, 90_000);
afterAll(async () => {
  await browser.close();
  await ask(`/api/closure-plans/${planId}`, 'DELETE');
  await ask(`/api/scenarios/${scenarioId}`, 'DELETE');
});

const open = async (page: Page) => {
  await page.goto(`${address}/closures?plan=${planId}&part=setup`);
  await page.getByRole('heading', { name: 'The rules in words' }).waitFor();
};
const words = (page: Page) => page.getByRole('region', { name: 'The rules in words' }).textContent();

test('an operator reads the whole set-up in one paragraph, and changes it by keyboard', async () => {
  const { context, page, faults } = await openPage(browser);
  await open(page);
  const told = await words(page);
  expect(told).toContain('runways close every night from 23:00 to 05:00');
  expect(told).toContain('Never closed together: Runway A with Runway B');
  await page
    .getByRole('region', { name: 'What one closure holds' })
    .getByText(/^Nights: about \d+ closures/)
    .waitFor();
  expect(await page.getByRole('button', { name: 'Save', exact: true }).isDisabled()).toBe(true);
  // All rules are looked at below, with every heading open; colours differ by theme.
  expect(await violationsOf(page, { only: ['color-contrast'] })).toEqual([]);

  await page.getByLabel('Notice, days').fill('soon');
  await page.getByText('Give a whole number from 0 to 365 days.').waitFor();
  expect(await page.getByRole('button', { name: 'Save', exact: true }).isDisabled()).toBe(true);
  await page.getByLabel('Notice, days').fill('14');
  // A pair is taken out and put back without a pointer.
  const remove = page.getByRole('button', { name: 'Remove the pair Runway A and Runway B' });
  await remove.focus();
  await page.keyboard.press('Enter');
  await page.getByText('No pairs: any facilities may be closed at the same time.').waitFor();
  await page.getByLabel('While this is closed').selectOption({ label: 'Three Climates Airport, Runway A' });
  await page.getByLabel('this stays open').selectOption({ label: 'Three Climates Airport, Runway B' });
  await page.getByRole('button', { name: 'Add the pair' }).press('Enter');
  await remove.waitFor();
  await page.getByRole('button', { name: /^Add the holiday peaks/ }).press('Enter');
  await page.getByLabel('Opens again at').first().fill('05:30');
  // What is not saved outlives a reload.
  await page.reload();
  await page.getByText('Not saved yet.', { exact: true }).waitFor();
  expect(await words(page)).toContain('from 23:00 to 05:30');
  expect(await words(page)).toContain('Thanksgiving');

  // What only the server can know is told at its field.
  await page.getByLabel('Time zone').fill('Mars/Olympus');
  await page.getByRole('button', { name: 'Save', exact: true }).press('Enter');
  await page.getByText(/^Is Mars\/Olympus; expected an IANA time zone/).waitFor();
  expect((await plan()).rules.timeZone).not.toBe('Mars/Olympus');
  await page.getByLabel('Time zone').fill('America/Chicago');
  await page.getByLabel('Saw the faces, m an hour').fill('90');
  await page.getByRole('button', { name: 'Save', exact: true }).press('Enter');
  await expect.poll(async () => (await plan()).rules.timeZone).toBe('America/Chicago');
  const { rules } = await plan();
  expect(rules).toMatchObject({ noticeDays: 14, rates: [{ operation: 'saw-faces', metresPerHour: 90 }] });
  expect(rules.windows[0]).toMatchObject({ startsAt: '23:00', lengthHours: 6.5 });
  expect(rules.exclusions).toHaveLength(1);
  expect(rules.barred.length).toBeGreaterThan(4);
  expect(faults.filter((fault) => !/400/.test(fault))).toEqual([]);
  await context.close();
});

test('two facilities pressed on the map become a pair', async () => {
  const { rules, revision } = await plan();
  await ask(`/api/closure-plans/${planId}`, 'PATCH', { rules: { ...rules, exclusions: [] } }, `"${revision}"`);
  const { context, page, faults } = await openPage(browser);
  await open(page);
  const map = page.locator('.pair-map');
  await map.scrollIntoViewIfNeeded();
  await map.locator('canvas').waitFor();
  for (const name of ['Runway A', 'Runway B']) {
    await page.mouse.click(...(await placeOf(page, name)));
  }
  await page.getByRole('button', { name: 'Remove the pair Runway A and Runway B' }).waitFor();
  expect(await words(page)).toContain('Never closed together: Runway A with Runway B');
  expect(faults).toEqual([]);
  await context.close();
});

/** Where the map answers with a facility's name, looked for as one does with a pointer until it is drawn. */
async function placeOf(page: Page, name: string): Promise<[x: number, y: number]> {
  const box = await page.locator('.pair-map').boundingBox();
  if (!box) throw new Error('there is no map');
  const until = Date.now() + 30_000;
  while (Date.now() < until)
    for (let y = box.y + 60; y < box.y + box.height - 60; y += 14)
      for (let x = box.x + 60; x < box.x + box.width - 60; x += 14) {
        await page.mouse.move(x, y);
        const [told] = await page.locator('.pair-map .hover-note').allTextContents();
        if (told === name) return [x, y];
      }
  throw new Error(`${name} is not on the map`);
}

test('the second of two editors is told what the first one did, and loses nothing', async () => {
  const { context, page, faults } = await openPage(browser);
  await open(page);
  await page.getByLabel('Set up, minutes a closure').fill('45');
  const { rules, revision } = await plan();
  await ask(`/api/closure-plans/${planId}`, 'PATCH', { rules: { ...rules, noticeDays: 21 } }, `"${revision}"`);
  await page.getByRole('button', { name: 'Save', exact: true }).click();
  const note = page.getByRole('alert', { name: 'Changed meanwhile' });
  await note.getByRole('button', { name: 'Put mine over it' }).click();
  expect(await page.getByLabel('Set up, minutes a closure').inputValue()).toBe('45');
  await page.getByRole('button', { name: 'Save', exact: true }).click();
  await expect.poll(async () => (await plan()).rules.setUpMinutes).toBe(45);
  expect(faults.filter((fault) => !/412/.test(fault))).toEqual([]);
  await context.close();
});

test('at 390 px, in the dark and in US units nothing is cut off, and axe finds nothing', async () => {
  const { context, page, faults } = await openPage(browser, { viewport: NARROW, colorScheme: 'dark' });
  await context.addInitScript(() => localStorage.setItem('kerfcast.units', 'us'));
  await open(page);
  expect(await words(page)).toMatch(/Sealing needs .*50 °F/);
  await page.evaluate(() => {
    for (const details of document.querySelectorAll('details')) details.open = true;
  });
  await page.getByLabel('Seal: silicone, ft an hour', { exact: true }).waitFor();
  expect(await overflowOf(page)).toBe(0);
  expect(await violationsOf(page)).toEqual([]);
  expect(faults).toEqual([]);
  await context.close();
});
