import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { address } from './agency-here.ts';
import { mapAtRest, NARROW, openBrowser, openPage, overflowOf, violationsOf, WIDE } from './open-browser.ts';

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

/** Each screen, and how it shows that its content is there. */
const SCREENS: readonly (readonly [string, (page: Page) => Promise<unknown>])[] = [
  ['/map', mapAtRest],
  ['/joints', (page) => page.getByRole('columnheader', { name: /Segment/ }).waitFor()],
  ['/service-life', (page) => page.getByRole('heading', { name: 'Life by sealant class' }).waitFor()],
  ['/budget', (page) => page.getByRole('heading', { name: 'Year by year' }).waitFor()],
  [
    '/program',
    (page) =>
      page
        .getByRole('heading', { name: /No scenario yet|Scenarios/ })
        .first()
        .waitFor(),
  ],
  [
    '/closures',
    (page) => page.getByRole('heading', { name: /No program to schedule yet|No closure plan yet/ }).waitFor(),
  ],
  ['/data', (page) => page.getByRole('heading', { name: 'Load files' }).waitFor()],
];
/** Every theme and every width; what depends on both at once is looked at by hand. */
const LOOKS = [
  ['1440 px, light', WIDE, 'light'],
  ['390 px, dark', NARROW, 'dark'],
] as const;

test.each(LOOKS)(
  'axe finds no violation on any screen at %s, nothing fails, and nothing overflows',
  async (_, viewport, colorScheme) => {
    const { context, page, faults } = await openPage(browser, { viewport, colorScheme });
    for (const [path, ready] of SCREENS) {
      await page.goto(address + path);
      await ready(page);
      expect(await violationsOf(page)).toEqual([]);
      expect(`${path} overflows by ${await overflowOf(page)}`).toBe(`${path} overflows by 0`);
    }
    expect(faults).toEqual([]);
    await context.close();
  },
);

test('every screen says that the agency is invented and has one main heading', async () => {
  const { context, page } = await openPage(browser);
  for (const [path, ready] of SCREENS) {
    await page.goto(address + path);
    await ready(page);
    expect(await page.getByText('invented agency').first().isVisible()).toBe(true);
    expect(await page.locator('h1').count()).toBe(1);
  }
  await context.close();
});

test('an address that leads nowhere says so and offers a way back', async () => {
  const { context, page } = await openPage(browser);
  const answer = await page.goto(`${address}/nothing`);
  expect(answer?.status()).toBe(404);
  await context.close();
});

test('units and theme are chosen once and kept', async () => {
  const { context, page } = await openPage(browser);
  const sealedJoint = page.locator('.totals .readout', { hasText: 'Sealed joint' }).getByText(/[\d,.]+\smi$/);
  await page.goto(`${address}/joints`);
  await page.getByRole('radio', { name: /US customary/ }).check();
  await page.getByRole('radio', { name: /dark/i }).check();
  await sealedJoint.waitFor();
  await page.goto(`${address}/map`);
  await sealedJoint.waitFor();
  expect(await page.getByRole('radio', { name: /dark/i }).isChecked()).toBe(true);
  await context.close();
});
