import { readFile } from 'node:fs/promises';
import path from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, inject, test } from 'vitest';
import type { Settings } from '../../server/schemas/settings.ts';
import { address } from './agency-here.ts';
import { openBrowser, openPage, violationsOf } from './open-browser.ts';

const demoFiles = inject('demoFiles');
let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

const settings = async (): Promise<Settings> => (await (await fetch(`${address}/api/settings`)).json()) as Settings;
const putAside = (page: Page) => page.getByRole('button', { name: 'Put these files aside' }).click();

test('a file dropped on the page is read, and put aside again it leaves nothing', async () => {
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/data`);
  const zone = page.getByRole('region', { name: 'Drop files here' });
  await zone.waitFor();
  const text = await readFile(path.join(demoFiles, 'unit-costs.csv'), 'utf8');
  const dragged = await page.evaluateHandle((content) => {
    const data = new DataTransfer();
    data.items.add(new File([content], 'dropped prices.csv', { type: 'text/csv' }));
    return data;
  }, text);
  await zone.dispatchEvent('dragover', { dataTransfer: dragged });
  await expect.poll(() => zone.getAttribute('class')).toContain('over');
  await zone.dispatchEvent('drop', { dataTransfer: dragged });
  await page.getByRole('heading', { name: 'dropped prices.csv' }).waitFor();
  await page.getByText('Nothing is stored yet.').waitFor();
  expect(await violationsOf(page)).toEqual([]);
  await putAside(page);
  await zone.waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test('an upload is cancelled on its way, and the next one is taken', async () => {
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/data`);
  await page.route('**/api/uploads**', () => undefined); // never answered: the file stays on its way
  const choose = page.locator('input[type=file]');
  await choose.setInputFiles({ name: 'slow.csv', mimeType: 'text/csv', buffer: Buffer.from('id\n1\n') });
  await page.getByRole('button', { name: 'Cancel slow.csv' }).click();
  const line = page.getByRole('list', { name: 'Files on their way' }).getByRole('listitem');
  await line.getByText('cancelled').waitFor();
  expect(await violationsOf(page)).toEqual([]);
  await page.getByRole('button', { name: 'Dismiss slow.csv' }).click();
  await line.waitFor({ state: 'detached' });

  await page.unroute('**/api/uploads**');
  await choose.setInputFiles(path.join(demoFiles, 'unit-costs.csv'));
  await page.getByText('Nothing is stored yet.').waitFor();
  await putAside(page);
  await context.close();
});

test('the reading of a long file is cancelled, and nothing of it is kept', async () => {
  const rows = Array.from({ length: 400_000 }, (_, i) => `NOWHERE-${i},2020-01-01,joint-length,0.1`);
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/data`);
  await page.locator('input[type=file]').setInputFiles({
    name: 'long.csv',
    mimeType: 'text/csv',
    buffer: Buffer.from(`segmentId,inspectedOn,method,damagedShare\n${rows.join('\n')}\n`),
  });
  await page
    .getByRole('main')
    .getByRole('button', { name: /^Cancel: / })
    .click();
  await page.getByText('The load was cancelled.').waitFor();
  await page
    .getByText('Nothing of it was kept.')
    .or(page.getByText(/cancelled/i))
    .first()
    .waitFor();
  await page.getByRole('button', { name: 'Load other files' }).click();
  await page.getByRole('region', { name: 'Drop files here' }).waitFor();
  await context.close();
});

test('the agency is named on every screen; a field that is wrong says what is allowed', async () => {
  const before = await settings();
  const { context, page } = await openPage(browser);
  try {
    await page.goto(`${address}/data`);
    await page.getByText('These are the demo’s records', { exact: false }).waitFor();
    const form = page.getByRole('region', { name: 'Agency' });
    await form.getByLabel('Base map address').fill('https://tiles.example/{z}/{x}.png');
    await form.getByText('Put in {y}').waitFor();
    expect(await form.getByRole('button', { name: 'Save' }).isDisabled()).toBe(true);
    // The server looks more closely than the page: the host must be one that can be named to the browser.
    await form.getByLabel('Base map address').fill('https://tiles.{z}.example/{z}/{x}/{y}.png');
    await form.getByRole('button', { name: 'Save' }).click();
    await form.getByText(/Expected an http\(s\) address/).waitFor();
    expect(await violationsOf(page)).toEqual([]);
    expect((await settings()).baseMapUrl).toBe(before.baseMapUrl);

    await form.getByLabel('Base map address').fill('');
    await form.getByLabel('Name of the agency').fill('Another Invented Authority');
    await form.getByRole('checkbox', { name: /invented/ }).uncheck();
    await form.getByRole('button', { name: 'Save' }).click();
    await form.getByText('Saved.').waitFor();
    await page.getByRole('banner').getByText('Another Invented Authority').waitFor();
    expect(await page.getByText('These are the demo’s records', { exact: false }).count()).toBe(0);
    const { agencyName, agencyInvented } = await settings();
    expect([agencyName, agencyInvented]).toEqual(['Another Invented Authority', false]);
  } finally {
    await fetch(`${address}/api/settings`, {
      method: 'PUT',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(before),
    });
  }
  await context.close();
});
