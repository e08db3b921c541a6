import type { Browser, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Budget } from '../../server/schemas/budget.ts';
import type { SegmentPage } from '../../server/schemas/forecast.ts';
import { address } from './agency-here.ts';
import { mapAtRest, openBrowser, openPage } from './open-browser.ts';

/** What each of the three readers does most, with nothing but the keyboard. */
let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

const MOST_TABS = 200;
const isFocused = (target: Locator) => target.evaluate((element) => element === document.activeElement);

/** Presses Tab until the focus is on the target. */
async function tabTo(page: Page, target: Locator): Promise<void> {
  await target.waitFor();
  for (let i = 0; i < MOST_TABS; i++) {
    if (await isFocused(target)) return;
    await page.keyboard.press('Tab');
  }
  throw new Error(`${target} was not reached by ${MOST_TABS} presses of Tab`);
}

async function press(page: Page, target: Locator, key = 'Enter'): Promise<void> {
  await tabTo(page, target);
  await page.keyboard.press(key);
}

const filter = (page: Page) => page.getByRole('region', { name: 'Filter and totals' });
const read = async <T>(path: string): Promise<T> => (await (await fetch(address + path)).json()) as T;

test('a highway asset manager reads what the network needs in all and takes the table away', async () => {
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/map`);
  await press(page, page.getByRole('navigation').getByRole('link', { name: 'Budget' }));
  const whole = page.getByRole('region', { name: /in all$/ });
  await whole.waitFor();
  const budget = await read<Budget>('/api/budget');
  const millions = (budget.overall.cost.median / 1e6).toPrecision(3);
  const told = (await whole.innerText()).replaceAll('\u00a0', ' ');
  expect(told).toContain(`$${millions} million`);
  expect(told).toContain('80 % interval');

  const table = page.getByRole('link', { name: 'Budget table (CSV)' });
  await tabTo(page, table);
  const download = page.waitForEvent('download');
  await page.keyboard.press('Enter');
  const stream = await (await download).createReadStream();
  let text = '';
  for await (const chunk of stream) text += chunk;
  for (const year of budget.years) expect(text).toContain(String(year));
  expect(faults).toEqual([]);
  await context.close();
});

test('a district engineer finds the joint of his district that is likeliest to have failed, and why', async () => {
  const district = 'Coast District';
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/joints`);
  await page.getByText(/segments in this view/).waitFor();
  await press(page, filter(page).getByRole('button', { name: 'District' }));
  await press(page, page.getByRole('checkbox', { name: new RegExp(district) }), 'Space');
  await page.keyboard.press('Escape');
  await expect.poll(() => new URL(page.url()).searchParams.get('district')).toBe(district);
  const chance = page.getByRole('columnheader', { name: /Failed by now/ });
  await press(page, chance.getByRole('button'));
  await expect.poll(() => chance.getAttribute('aria-sort')).toBe('descending');

  const query = `district=${encodeURIComponent(district)}&sort=failedNowProbability&descending=true&limit=1`;
  const [worst] = (await read<SegmentPage>(`/api/segments?${query}`)).items;
  await press(page, page.getByRole('button', { name: worst.id, exact: true }));
  const card = page.getByRole('complementary', { name: 'Segment card' });
  await card.getByRole('heading', { name: worst.id }).waitFor();
  await card.getByText('Failed by now').waitFor();
  await card.getByText(district, { exact: false }).first().waitFor();
  await page.keyboard.press('Escape');
  await card.waitFor({ state: 'detached' });
  expect(faults).toEqual([]);
  await context.close();
});

test('an airport operator finds the joints of the runways that are due first, from the list beside the map', async () => {
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/map`);
  await mapAtRest(page);
  await press(page, filter(page).getByRole('button', { name: 'Kind' }));
  await press(page, page.getByRole('checkbox', { name: /Runway/ }), 'Space');
  await page.keyboard.press('Escape');
  const list = page.getByRole('button', { name: /^(List|Hide list): / });
  await press(page, list);
  const items = page.getByRole('region', { name: 'In view' }).getByRole('listitem').getByRole('button');
  await expect.poll(() => items.first().innerText(), { timeout: 45_000 }).toMatch(/Runway/);
  await press(page, items.first()); // from afar a run of joints: goes closer
  await page.getByRole('button', { name: /^Hide list: [\d,]+ segments? / }).waitFor({ timeout: 45_000 });

  const first = items.first();
  const told = await first.innerText();
  const runways = await read<SegmentPage>('/api/segments?facilityKind=runway&sort=dueYear&limit=1000');
  const shown = new Set((await items.allInnerTexts()).map((text) => text.split('\n')[0]));
  const [soonest] = runways.items.filter(({ id }) => shown.has(id));
  expect(told).toContain(`due ${soonest.dueYear}`);
  const id = told.split('\n')[0];
  expect(runways.items.map((segment) => segment.id)).toContain(id);
  await press(page, first);
  const card = page.getByRole('complementary', { name: 'Segment card' });
  await card.getByRole('heading', { name: id }).waitFor();
  await card.getByText(`Reseal in ${soonest.dueYear}`).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});
