import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Job } from '../../server/schemas/job.ts';
import type { ModelVersions } from '../../server/schemas/models.ts';
import type { PriorTrial } from '../../server/schemas/priors.ts';
import type { Settings } from '../../server/schemas/settings.ts';
import { address } from './agency-here.ts';
import { looksWrong, NARROW, openBrowser, openPage, WIDE } from './open-browser.ts';

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

const LONG = { timeout: 150_000 };
const SEALANT = 'Preformed compression seal';

async function read<T>(path: string): Promise<T> {
  return (await (await fetch(address + path)).json()) as T;
}
const settings = () => read<Settings>('/api/settings');
/** Whether nothing is at work but the test of a model, which steps aside. */
const idle = async () =>
  (await read<Job[]>('/api/jobs')).every(({ kind, finishedAt }) => kind === 'evidence' || finishedAt !== null);

test('a belief is typed over, tried, saved and fitted with, and put back, by keyboard alone', {
  timeout: 600_000,
}, async () => {
  const before = await read<ModelVersions>('/api/models');
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/service-life`);
  await page.getByRole('tab', { name: 'This model' }).focus();
  await page.keyboard.press('ArrowRight');
  expect(new URL(page.url()).searchParams.get('part')).toBe('priors');
  const table = page.getByRole('region', { name: /^What is believed before any data, by/ });
  const median = table.getByRole('textbox', { name: `${SEALANT}: median life, years` });
  const factor = table.getByRole('textbox', { name: `${SEALANT}: within a factor of` });
  const reset = table.getByRole('button', { name: `${SEALANT}: back to the published value` });
  expect(await median.inputValue()).toBe('17');
  expect(await reset.isDisabled()).toBe(true);

  await median.focus();
  await page.keyboard.press('Control+A');
  await page.keyboard.type('4000');
  await table.getByText('Give a number from 0.5 to 100 years.').waitFor();
  expect(await page.getByRole('button', { name: 'Save and fit again' }).isDisabled()).toBe(true);
  await page.keyboard.press('Control+A');
  await page.keyboard.type('40');
  await page.keyboard.press('Tab');
  expect(await factor.evaluate((element) => element === document.activeElement)).toBe(true);
  await page.keyboard.press('Control+A');
  await page.keyboard.type('1.2');
  await page.keyboard.press('Tab');
  await page.keyboard.type('a warranty');
  const row = table.getByRole('row', { name: new RegExp(`^${SEALANT}`) });
  await row.getByText('half by year 40', { exact: false }).waitFor();
  await row.getByText('yours').waitFor();

  await page.getByRole('button', { name: 'Try without saving' }).focus();
  await page.keyboard.press('Enter');
  await page.getByRole('heading', { name: 'What the tried beliefs would change' }).waitFor(LONG);
  const trial = await read<PriorTrial>('/api/priors/trials');
  expect(trial.priors?.classes['preformed-compression']).toEqual({
    ...{ medianYears: 40, rangeFactor: 1.2, source: 'a warranty' },
  });
  expect((await settings()).priors).toBeNull();
  expect((await read<ModelVersions>('/api/models')).current).toBe(before.current);
  // What was typed is still there after the job.
  expect(await median.inputValue()).toBe('40');

  await expect.poll(idle, LONG).toBe(true);
  await page.getByRole('button', { name: 'Save and fit again' }).focus();
  await page.keyboard.press('Enter');
  await expect.poll(async () => (await read<ModelVersions>('/api/models')).current, LONG).not.toBe(before.current);
  expect((await settings()).priors?.classes['preformed-compression']?.medianYears).toBe(40);
  await row.getByText('40.0 →').waitFor(LONG);
  await row.getByText('17.0 →').waitFor(LONG);

  await reset.focus();
  await page.keyboard.press('Enter');
  expect(await median.inputValue()).toBe('17');
  await expect.poll(idle, LONG).toBe(true);
  await page.getByRole('button', { name: 'Save and fit again' }).focus();
  await page.keyboard.press('Enter');
  await expect.poll(async () => (await settings()).priors, LONG).toBeNull();
  await expect.poll(idle, LONG).toBe(true);
  expect(faults).toEqual([]);
  await context.close();
});

test.each([
  ['light', 'wide', WIDE],
  ['dark', 'narrow', NARROW],
] as const)(
  'axe finds nothing on the beliefs in %s, %s, and nothing overflows',
  async (colorScheme, width, viewport) => {
    const { context, page, faults } = await openPage(browser, { viewport, colorScheme });
    await page.goto(`${address}/service-life?part=priors`);
    await page.getByRole('textbox', { name: `${SEALANT}: median life, years` }).fill('0');
    await page.getByText('Give a number from 0.5 to 100 years.').waitFor();
    if (process.env.KERFCAST_SHOTS)
      await page.screenshot({
        path: `${process.env.KERFCAST_SHOTS}/priors-${colorScheme}-${width}.png`,
        fullPage: true,
      });
    expect(await looksWrong(page, `${colorScheme} ${width}`)).toEqual([]);
    expect(faults).toEqual([]);
    await context.close();
  },
);
