import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { address } from './agency-here.ts';
import { NARROW, openBrowser, openPage, overflowOf, violationsOf } from './open-browser.ts';

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

/** Each screen, and a heading that is there once the server has answered. */
const SCREENS = [
  ['/map', 'Year of resealing'],
  ['/joints', 'Joints'],
  ['/service-life', 'Life by sealant class'],
  ['/budget', 'Year by year'],
  ['/data', 'What is stored'],
] as const;

test.each(SCREENS)('%s says that the server is gone, and goes on once it is back', async (path, heading) => {
  const { context, page } = await openPage(browser, { viewport: NARROW });
  await page.route('**/api/**', (route) => route.abort());
  await page.goto(address + path);
  const told = page.getByRole('main').getByRole('alert');
  await told.first().getByText('Is it still running?').waitFor();
  expect(await violationsOf(page)).toEqual([]);
  expect(await overflowOf(page)).toBe(0);

  await page.unroute('**/api/**');
  // One press mends the whole screen, however much of it could not be read.
  await told.first().getByRole('button', { name: 'Try again' }).click();
  await page.getByRole('heading', { name: heading }).first().waitFor();
  await told.first().waitFor({ state: 'detached' });
  await context.close();
});

test('a screen that has read its figures keeps them when the server goes', async () => {
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/joints`);
  await page.getByText(/segments in this view/).waitFor();
  await page.route('**/api/**', (route) => route.abort());
  await page
    .getByRole('columnheader', { name: /Failed by now/ })
    .getByRole('button')
    .click();
  await page.getByRole('alert').getByText('Is it still running?').waitFor();
  await page.unroute('**/api/**');
  await page.getByRole('button', { name: 'Try again' }).click();
  await page.getByRole('columnheader', { name: /Segment/ }).waitFor();
  await context.close();
});
