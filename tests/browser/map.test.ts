import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { SegmentPage } from '../../server/schemas/forecast.ts';
import { address } from './agency-here.ts';
import { mapAtRest, openBrowser, openPage } from './open-browser.ts';

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

/** A figure of the totals, once it has been read. */
const total = async (page: Page, name: string): Promise<string> => {
  const figure = page.locator('.totals .readout', { hasText: name }).locator('dd');
  await expect.poll(() => figure.textContent()).toMatch(/\d/);
  return ((await figure.textContent()) ?? '').trim();
};

/** How many different colours a part of the canvas has: a blank or lost canvas has one. */
async function coloursOf(page: Page): Promise<number> {
  const picture = await page.locator('canvas.maplibregl-canvas').screenshot();
  return new Set(picture.toString('latin1').match(/.{3}/gs)).size;
}

test('the map draws the network from tiles, colours it two ways, and the slider moves the year in the address', async () => {
  const { context, page, faults } = await openPage(browser);
  const tiles: string[] = [];
  page.on('response', (response) => {
    if (response.url().includes('/api/tiles/')) tiles.push(response.url());
  });
  await page.goto(`${address}/map`);
  await mapAtRest(page);
  expect(tiles.length).toBeGreaterThan(0);
  expect(await coloursOf(page)).toBeGreaterThan(100);
  await page.getByRole('radio', { name: 'Failed by year' }).check();
  const slider = page.getByRole('slider');
  await slider.focus();
  for (let i = 0; i < 3; i++) await page.keyboard.press('ArrowRight');
  const year = await slider.inputValue();
  await expect.poll(() => new URL(page.url()).searchParams.get('year')).toBe(year);
  await page.getByRole('heading', { name: `Failed by end of ${year}` }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test('a filter drives totals, map and table, lives in the address, and a reload shows the same view', async () => {
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/map`);
  await mapAtRest(page);
  const all = await total(page, 'Segments');
  await page.getByRole('button', { name: 'District' }).click();
  await page.getByRole('checkbox', { name: /Coast/ }).check();
  await expect.poll(() => total(page, 'Segments')).not.toBe(all);
  const kept = await total(page, 'Segments');
  expect(new URL(page.url()).searchParams.get('district')).toContain('Coast');
  const answer = await fetch(`${address}/api/segments?limit=1&district=${encodeURIComponent('Coast District')}`);
  const { numberMatched } = (await answer.json()) as SegmentPage;
  expect(Number(kept.replaceAll(',', ''))).toBe(numberMatched);

  await page.reload();
  await mapAtRest(page);
  expect(await total(page, 'Segments')).toBe(kept);
  await page.getByRole('navigation').getByRole('link', { name: 'Joints' }).click();
  await page.getByText(`${kept} segments in this view`).waitFor();
  await context.close();
});

test('a segment chosen by keyboard from the list opens its card with history, curve and reason, and Escape closes it', async () => {
  const answer = await fetch(
    `${address}/api/segments?limit=1&sort=failedNowProbability&descending=true&maxDamagedShare=0.09`,
  );
  const [segment] = ((await answer.json()) as SegmentPage).items;
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/map?segment=${encodeURIComponent(segment.id)}`);
  const card = page.getByRole('complementary', { name: 'Segment card' });
  await card.getByRole('heading', { name: segment.id }).waitFor();
  await card
    .getByText(/Chance of having failed|last inspection found it failed|No unit price/)
    .first()
    .waitFor();
  await expect.poll(() => card.locator('svg').count()).toBeGreaterThanOrEqual(2);
  await mapAtRest(page);
  await page.getByRole('button', { name: /^List: / }).focus();
  await page.keyboard.press('Enter');
  const items = page.locator('.in-view-item');
  await items.first().focus();
  await page.keyboard.press('Enter');
  await expect.poll(() => new URL(page.url()).searchParams.get('segment') ?? 'run').not.toBe('');
  await card.getByRole('button', { name: 'Close' }).focus();
  await page.keyboard.press('Escape');
  await card.waitFor({ state: 'detached' });
  expect(faults).toEqual([]);
  await context.close();
});

test('the map works with nothing but this server: no request leaves for another host', async () => {
  const { context, page } = await openPage(browser);
  const elsewhere: string[] = [];
  page.on('request', (request) => {
    if (!/^(data|blob):/.test(request.url()) && !request.url().startsWith(address)) elsewhere.push(request.url());
  });
  await page.goto(`${address}/map`);
  await mapAtRest(page);
  expect(elsewhere).toEqual([]);
  await context.close();
});
