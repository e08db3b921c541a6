import { readFile } from 'node:fs/promises';
import { parse } from 'csv-parse/sync';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { EvidenceReport } from '../../server/schemas/evidence.ts';
import type { OddLevel } from '../../server/schemas/evidence-odd.ts';
import { address } from './agency-here.ts';
import { changeScheme, looksWrong, NARROW, openBrowser, openPage } from './open-browser.ts';

const MAKING_MS = 150_000;
let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

const verdict = (page: Page) => page.getByText(/later looks to find a failure|Too few inspections after/);

test('evidence is made without being asked, and made again from the screen it can be stopped', async () => {
  const { context, page, faults } = await openPage(browser);
  await page.goto(`${address}/evidence`);
  await verdict(page).waitFor({ timeout: MAKING_MS });
  const again = page.getByRole('button', { name: 'Make the evidence again' }).first();
  await again.click();
  await page
    .getByRole('main')
    .getByRole('button', { name: /^Cancel/ })
    .first()
    .click();
  await again.waitFor({ timeout: MAKING_MS });
  await verdict(page).waitFor();
  await page.goto(`${address}/odd-ones`);
  await page.getByRole('tab', { name: /^Lots and crews/ }).waitFor({ timeout: MAKING_MS });
  expect(faults.filter((fault) => !fault.includes('404'))).toEqual([]);
  await context.close();
});

/** Rows of one kind that a check looks at: the rest of a list is more of the same, and takes axe minutes. */
const ENOUGH_ROWS = 8;

/** The answer of the server with one lot named, since in the demo chance alone is at work, and long lists cut short. */
async function nameOneLot(page: Page): Promise<readonly string[]> {
  const kept: string[] = [];
  await page.route('**/api/evidence', async (route) => {
    const report = (await (await route.fetch()).json()) as EvidenceReport;
    cutLists(report);
    const lots = report.odd.groupings.find(({ name }) => name === 'lot');
    const [first] = lots?.levels ?? [];
    if (!lots || !first) throw new Error('the demo has no lots');
    const segmentIds = report.odd.early.segmentIds.slice(0, 2);
    const named: OddLevel = {
      ...first,
      ...{ grouping: 'lot', direction: 'fails early', falseDiscoveryShare: 0.01, wrongSideChance: 0.01 },
      ...{ lifeRatio: 0.6, lifeRatioLower: 0.5, lifeRatioUpper: 0.8, segments: segmentIds.length, segmentIds },
    };
    kept.push(...segmentIds);
    lots.odd = [named];
    await route.fulfill({ json: report });
  });
  return kept;
}

function cutLists({ odd, diagnostics }: EvidenceReport): void {
  for (const grouping of odd.groupings) grouping.levels.splice(ENOUGH_ROWS);
  for (const list of [odd.early, odd.influential, odd.contradictory]) list?.seals.splice(ENOUGH_ROWS);
  diagnostics?.coxSnell?.boxes.splice(ENOUGH_ROWS);
  diagnostics?.shape?.points.splice(3 * ENOUGH_ROWS);
  for (const { line } of diagnostics?.probabilityPlots ?? []) line.splice(3 * ENOUGH_ROWS);
}

const PARTS = [
  ['/evidence', 'Forecast against found'],
  ['/evidence?part=diagnostics', 'Failures found and expected'],
  ['/odd-ones', 'Life by lot'],
  ['/odd-ones?list=early', 'Early failures'],
  ['/odd-ones?list=influential', 'Most influence'],
  ['/odd-ones?list=contradictory', 'Contradictory histories'],
] as const;

test.each(PARTS)(
  'axe finds nothing in %s, wide or narrow, light or dark, and nothing overflows',
  async (path, heading) => {
    const { context, page, faults } = await openPage(browser);
    await nameOneLot(page);
    await page.goto(address + path);
    await page.getByRole('heading', { name: heading, exact: true }).waitFor();
    await page.waitForLoadState('networkidle');
    // Every theme and every width; what depends on both at once is looked at by hand.
    expect(await looksWrong(page, 'wide, light')).toEqual([]);
    await page.setViewportSize(NARROW);
    await changeScheme(page, 'dark');
    expect(await looksWrong(page, 'narrow, dark')).toEqual([]);
    expect(faults).toEqual([]);
    await context.close();
  },
);

test('every picture stands beside its numbers and saves both', async () => {
  const { context, page } = await openPage(browser);
  for (const path of ['/evidence', '/evidence?part=diagnostics']) {
    await page.goto(address + path);
    await page.locator('figure svg[role=img]').first().waitFor();
    for (const [nth, figure] of (await page.locator('figure').all()).entries()) {
      // A browser drops files that a page saves too fast: it let through a dozen in three seconds, not always one more.
      if (nth > 0 && nth % 3 === 0) await page.reload();
      expect(await figure.locator('svg[role=img]').getAttribute('aria-label')).toMatch(/\d/);
      expect(await figure.locator('tbody tr').count()).toBeGreaterThan(0);
      for (const [name, starts] of [
        [/SVG/, '<svg'],
        [/CSV/, ''],
      ] as const) {
        const saving = page.waitForEvent('download');
        await figure.getByRole('button', { name }).or(figure.getByRole('link', { name })).click();
        const text = await readFile(await (await saving).path(), 'utf8');
        if (starts) expect(text.startsWith(starts)).toBe(true);
        else expect((parse(text) as string[][]).length).toBeGreaterThan(1);
      }
    }
  }
  await context.close();
});

test('the groups of the looks are switched by keyboard, and the parts have addresses', async () => {
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/evidence`);
  await page.getByRole('radio', { name: 'Forecast chance' }).focus();
  await page.keyboard.press('ArrowRight');
  await page.getByRole('columnheader', { name: 'Sealant class' }).first().waitFor();
  await page.getByRole('tab', { name: 'How well it would have forecast' }).focus();
  await page.keyboard.press('ArrowRight');
  await page.getByRole('heading', { name: 'Failures found and expected' }).waitFor();
  expect(new URL(page.url()).search).toBe('?part=diagnostics');
  await context.close();
});

test('the model of ages alone can be seen beside the one in use, which reads damaged shares', async () => {
  const { context, page } = await openPage(browser);
  await page.goto(`${address}/evidence`);
  await page.getByText(/the model in use, which rests on ages and damaged shares/).waitFor();
  const scores = page.getByRole('figure', { name: 'Gain over other methods' });
  await scores.getByRole('row', { name: /^The model of ages alone/ }).waitFor();
  for (const [label, name] of [
    ['Forecasts of', 'Forecast against found'],
    ['Intervals by', 'Are the intervals honest?'],
  ] as const) {
    const rows = page.getByRole('figure', { name }).getByRole('row');
    const inUse = await rows.allInnerTexts();
    await page.getByLabel(label).selectOption('ages alone');
    await expect.poll(() => rows.allInnerTexts()).not.toEqual(inUse);
  }
  await context.close();
});

test('an odd lot opens in the table with its segments and no others', async () => {
  const { context, page } = await openPage(browser);
  const segmentIds = await nameOneLot(page);
  await page.goto(`${address}/odd-ones`);
  await page.getByText('fails early').first().waitFor();
  await page.getByRole('link', { name: /^Table ?: / }).click();
  await page.getByText(`${segmentIds.length} segments in this view`).waitFor();
  for (const id of segmentIds) expect(await page.getByText(id, { exact: true }).first().isVisible()).toBe(true);
  await page.getByRole('button', { name: /Picked segments/ }).waitFor();
  await context.close();
});

test('evidence of an older model says so', async () => {
  const { context, page } = await openPage(browser);
  await page.route('**/api/version', async (route) => {
    const version = (await (await route.fetch()).json()) as { modelVersion: number };
    await route.fulfill({ json: { ...version, modelVersion: version.modelVersion + 1 } });
  });
  await page.goto(`${address}/evidence`);
  await page.getByText(/forecasts now come from model/).waitFor();
  await context.close();
});
