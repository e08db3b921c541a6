import path from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, inject, test } from 'vitest';
import type { Job } from '../../server/schemas/job.ts';
import { address } from './agency-here.ts';
import { NARROW, openBrowser, openPage } from './open-browser.ts';

const demoFiles = inject('demoFiles');
let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

test('files are previewed with their refusals, mended by saying a unit, loaded, and the second time nothing changes', async () => {
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/data`);
  await page.locator('input[type=file]').setInputFiles(path.join(demoFiles, 'facilities.csv'));
  await page.getByText('Nothing is stored yet.').waitFor({ timeout: 60_000 });
  const loadButton = page.getByRole('button', { name: /^Load [\d,]+ rows?$/ });
  await loadButton.first().click();
  await page
    .getByRole('dialog')
    .getByRole('button', { name: /^Load / })
    .click();
  await page
    .getByText(/unchanged|as before/i)
    .first()
    .waitFor({ timeout: 60_000 });
  expect(faults).toEqual([]);
  await context.close();
});

test('a file of refused rows shows each with field, value and what is allowed, and offers them as CSV', async () => {
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/data`);
  await page.locator('input[type=file]').setInputFiles({
    name: 'widths.csv',
    mimeType: 'text/csv',
    buffer: Buffer.from('segmentId,sealantClass,installed\nNOWHERE-1,silicone-non-sag,2019-02-30\n'),
  });
  await page.getByText('NOWHERE-1').locator('visible=true').first().waitFor({ timeout: 60_000 });
  await page.getByText('2019-02-30').locator('visible=true').first().waitFor();
  const download = page.waitForEvent('download');
  await page
    .getByRole('link', { name: /refused/i })
    .first()
    .click();
  expect((await download).suggestedFilename()).toMatch(/refused\.csv$/);
  await context.close();
});

const jobs = async (): Promise<Job[]> => (await (await fetch(`${address}/api/jobs`)).json()) as Job[];

test('a reload in the middle of long work finds it again, and it can be cancelled', async () => {
  const { context, page } = await openPage(browser, { viewport: NARROW });
  await page.goto(`${address}/service-life`);
  await page.getByRole('button', { name: 'Fit and forecast again' }).click();
  await page.getByText('Fit and forecast', { exact: false }).first().waitFor();
  await expect.poll(async () => (await jobs()).some(({ kind }) => kind === 'forecast')).toBe(true);
  await page.reload();
  await expect
    .poll(async () => (await jobs()).find(({ kind }) => kind === 'forecast')?.state, { timeout: 90_000 })
    .toBe('done');
  await context.close();
});

test('a changed price changes the budget, and the model version stays', async () => {
  const { context, page, faults } = await openPage(browser);
  const budget = async () =>
    (await (await fetch(`${address}/api/budget`)).json()) as {
      modelVersion: number;
      overall: { cost: { median: number } };
    };
  const before = await budget();
  await page.goto(`${address}/budget`);
  const price = page
    .getByRole('textbox', { name: /per m/i })
    .or(page.getByRole('spinbutton', { name: /per m/i }))
    .first();
  await price.fill('999');
  await page.getByRole('button', { name: 'Compute again' }).click();
  await expect
    .poll(async () => (await budget()).overall.cost.median, { timeout: 90_000 })
    .toBeGreaterThan(before.overall.cost.median * 1.2);
  expect((await budget()).modelVersion).toBe(before.modelVersion);
  expect(faults).toEqual([]);
  await context.close();
});
