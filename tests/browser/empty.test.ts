import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, inject, test } from 'vitest';
import { NARROW, openBrowser, openPage, overflowOf, violationsOf, WIDE } from './open-browser.ts';

const address = inject('emptyAddress');
let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

/** What each screen says while there is nothing to show. */
const SCREENS = [
  ['/map', 'No joints yet'],
  ['/joints', 'No joints yet'],
  ['/service-life', 'No model has been fitted yet'],
  ['/budget', 'No budget yet'],
  ['/program', 'No forecast to plan from yet'],
  ['/closures', 'No program to schedule yet'],
] as const;

test.each([
  ['1440 px, light', WIDE, 'light'],
  ['390 px, dark', NARROW, 'dark'],
] as const)(
  'an agency without records is told what to do next on every screen (%s)',
  async (_, viewport, colorScheme) => {
    const { context, page, faults } = await openPage(browser, { viewport, colorScheme });
    for (const [path, words] of SCREENS) {
      await page.goto(address + path);
      await page.getByRole('heading', { name: words }).waitFor();
      expect(await page.getByRole('main').getByRole('link', { name: /load/i }).first().getAttribute('href')).toBe(
        '/data',
      );
      expect(await violationsOf(page)).toEqual([]);
      expect(await overflowOf(page)).toBe(0);
    }
    await page.goto(`${address}/data`);
    await page.getByText('Nothing is stored yet.').waitFor();
    await page.getByRole('button', { name: 'Choose files' }).waitFor();
    expect(await page.getByText('invented').count()).toBe(1); // only the switch: these are nobody's demo records
    expect(await violationsOf(page)).toEqual([]);
    // No model and no budget yet is answered with 404, which a browser writes into its log.
    expect(faults.filter((fault) => !fault.includes('404'))).toEqual([]);
    await context.close();
  },
);

test('a filter is offered nothing to choose where nothing is stored, and says so', async () => {
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/joints`);
  await page.getByRole('button', { name: 'District' }).click();
  await page
    .getByRole('group', { name: 'District' })
    .getByText(/nothing/i)
    .waitFor();
  await context.close();
});
