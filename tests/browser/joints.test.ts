import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { address } from './agency-here.ts';
import { openBrowser, openPage } from './open-browser.ts';

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

test('the table sorts, keeps few rows in the page however far one scrolls, and shares its selection with the map', async () => {
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/joints`);
  const header = page.getByRole('columnheader', { name: /Failed by now/ });
  await header.getByRole('button').click();
  await expect.poll(() => header.getAttribute('aria-sort')).toMatch(/ascending|descending/);
  expect(new URL(page.url()).searchParams.get('sort')).toBe('failedNowProbability');

  const rows = page.getByRole('row');
  await expect.poll(() => rows.count()).toBeGreaterThan(10);
  await page.getByRole('columnheader').first().hover();
  for (let i = 0; i < 15; i++) await page.mouse.wheel(0, 2000);
  await expect.poll(() => rows.count()).toBeLessThan(120);

  await page.reload(); // the address keeps the order, and the table stands still at its first row
  const id = (await page.getByRole('row').nth(5).getByRole('button').innerText()).trim();
  await page.getByRole('button', { name: id, exact: true }).click();
  await page.getByRole('complementary', { name: 'Segment card' }).getByRole('heading', { name: id }).waitFor();
  await page.getByRole('link', { name: 'Show on map' }).click();
  await expect.poll(() => new URL(page.url()).pathname).toBe('/map');
  expect(new URL(page.url()).searchParams.get('segment')).toBe(id);
  expect(faults).toEqual([]);
  await context.close();
});

test('the downloads hold exactly what the filter keeps', async () => {
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/joints?jointType=longitudinal`);
  await page.getByText(/segments in this view/).waitFor();
  const words = await page
    .getByText(/segments in this view/)
    .first()
    .textContent();
  const shown = Number(words?.replace(/\D/g, ''));
  const download = page.waitForEvent('download');
  await page.getByRole('link', { name: /^CSV/ }).click();
  const stream = await (await download).createReadStream();
  let text = '';
  for await (const chunk of stream) text += chunk;
  expect(text.trim().split('\n')).toHaveLength(shown + 1);
  await context.close();
});
