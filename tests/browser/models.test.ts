import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { SegmentPage } from '../../server/schemas/forecast.ts';
import type { Job } from '../../server/schemas/job.ts';
import type { ModelComparison, ModelVersions } from '../../server/schemas/models.ts';
import type { Settings } from '../../server/schemas/settings.ts';
import { address } from './agency-here.ts';
import { looksWrong, NARROW, openBrowser, openPage, WIDE } from './open-browser.ts';

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

const LONG = { timeout: 150_000 };

async function read<T>(path: string): Promise<T> {
  return (await (await fetch(address + path)).json()) as T;
}
const versions = () => read<ModelVersions>('/api/models');
/** Whether nothing is at work but the test of a model, which steps aside. */
const idle = async () =>
  (await read<Job[]>('/api/jobs')).every(({ kind, finishedAt }) => kind === 'evidence' || finishedAt !== null);

test('families are compared by a job, one is adopted, and the version before it is used again', {
  timeout: 450_000,
}, async () => {
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/service-life`);
  await page.getByRole('tab', { name: 'Compare models' }).click();
  expect(new URL(page.url()).searchParams.get('part')).toBe('compare');
  await page.getByRole('radio', { name: 'My own choice' }).check();
  await page.getByRole('checkbox', { name: 'Log-normal' }).uncheck();
  await page.getByRole('button', { name: 'Compare 3 models' }).click();
  await page.getByRole('heading', { name: 'Side by side' }).waitFor(LONG);
  const { rows } = await read<ModelComparison>('/api/comparisons');
  expect(rows.map(({ family }) => family).sort()).toEqual(['generalised-gamma', 'loglogistic', 'weibull']);
  const table = page.getByRole('region', { name: 'Compared models' });
  expect(await table.getByRole('row').count()).toBe(4);
  // What is in use and the referee cannot be adopted.
  expect(await table.getByRole('button').count()).toBe(1);

  const before = await versions();
  await table.getByRole('button', { name: /^Adopt: Log-logistic/ }).click();
  const dialog = page.getByRole('dialog', { name: 'Adopt this model?' });
  await dialog.getByText('Weibull → Log-logistic').waitFor();
  await dialog.getByRole('button', { name: 'Adopt and forecast again' }).click();
  await expect.poll(async () => (await versions()).current, LONG).toBe((before.current ?? 0) + 1);
  await expect.poll(idle, LONG).toBe(true);
  expect((await read<Settings>('/api/settings')).family).toBe('loglogistic');

  await page.getByRole('tab', { name: 'Versions' }).click();
  await page.getByRole('button', { name: `Use version ${before.current} again` }).click();
  await page
    .getByRole('dialog')
    .getByRole('button', { name: /^Use it/ })
    .click();
  await expect.poll(async () => (await versions()).current, LONG).toBe(before.current);
  await expect.poll(idle, LONG).toBe(true);
  expect((await read<Settings>('/api/settings')).family).toBe('weibull');
  await page.getByRole('rowheader', { name: `${before.current} in use` }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test('a card says what drives its forecast, and what another seal would do', async () => {
  const { items } = await read<SegmentPage>('/api/segments?limit=1&sort=failedNowProbability&descending=true');
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/joints?segment=${encodeURIComponent(items[0].id)}`);
  const card = page.getByRole('complementary', { name: 'Segment card' });
  await card.getByRole('heading', { name: 'What drives this forecast' }).waitFor();
  await card.getByText('What drives this forecast: the numbers').click();
  const ladder = card.getByRole('region', { name: 'What drives this forecast' }).getByRole('table');
  expect(await ladder.getByRole('row').count()).toBe(5);
  await card.getByText('Where the knowledge comes from').waitFor();

  await card.getByLabel('Sealant class').selectOption('silicone-non-sag');
  await card.getByLabel('Joint width, mm').fill('2');
  await card.getByText('Give a number from 3 mm to 100 mm').waitFor();
  await card.getByLabel('Joint width, mm').fill('12');
  await card.getByRole('button', { name: 'Work it out' }).click();
  const answer = card.getByRole('region', { name: 'This choice beside like with like' });
  await answer.getByText('Silicone, non-sag').waitFor();
  await answer.getByText('12 mm').first().waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test('where fuel is spilled a class that is not meant for it is refused with the reason', async () => {
  const ids = (await read<SegmentPage>('/api/segments?limit=200&facilityKind=apron')).items.map(({ id }) => id);
  const exposed = await firstExposed(ids);
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/joints?segment=${encodeURIComponent(exposed)}`);
  const card = page.getByRole('complementary', { name: 'Segment card' });
  await card.getByLabel('Sealant class').selectOption('hot-applied-type-2');
  await card.getByRole('button', { name: 'Work it out' }).click();
  await card.getByText('Not for this place.').waitFor();
  await context.close();
});

async function firstExposed(ids: readonly string[]): Promise<string> {
  for (const id of ids) {
    const card = await read<{ segment: { fuelExposure: boolean }; forecast: unknown }>(
      `/api/segments/${encodeURIComponent(id)}`,
    );
    if (card.segment.fuelExposure && card.forecast) return id;
  }
  throw new Error('the demo agency has no apron segment with fuel exposure and a forecast');
}

test.each([
  ['light', 'wide', WIDE],
  ['dark', 'narrow', NARROW],
] as const)(
  'axe finds nothing on the parts of the screen in %s, %s, and nothing overflows',
  async (colorScheme, _, viewport) => {
    const [segment] = (await read<SegmentPage>('/api/segments?limit=1&sort=failedNowProbability')).items;
    const { context, page, faults } = await openPage(browser, { viewport, colorScheme });
    const looks: string[] = [];
    await page.goto(`${address}/service-life?part=compare`);
    await page.getByRole('radio', { name: 'My own choice' }).check();
    await page.getByRole('heading', { name: 'Side by side' }).waitFor();
    looks.push(...(await looksWrong(page, 'compare')));
    await page.getByRole('tab', { name: 'Versions' }).click();
    await page.getByRole('table').waitFor();
    looks.push(...(await looksWrong(page, 'versions')));
    await page.goto(`${address}/joints?segment=${encodeURIComponent(segment.id)}`);
    await page.getByRole('button', { name: 'Work it out' }).click();
    await page.getByRole('region', { name: 'This choice beside like with like' }).waitFor();
    looks.push(...(await looksWrong(page, 'card')));
    expect(looks).toEqual([]);
    expect(faults).toEqual([]);
    await context.close();
  },
);
