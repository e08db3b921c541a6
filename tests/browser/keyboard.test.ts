import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { address } from './agency-here.ts';
import { mapAtRest, NARROW, openBrowser, openPage, WIDE } from './open-browser.ts';

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());

const MOST_TABS = 400;

/** Marks each control that can be seen; returns how many there are. */
const markControls = (page: Page) =>
  page.evaluate(() => {
    const controls = [
      ...document.querySelectorAll<HTMLElement>('a[href], button, input, select, textarea, summary, [tabindex="0"]'),
    ];
    const seen = controls.filter((control) => {
      const { disabled, type } = control as HTMLInputElement;
      return (
        !disabled &&
        type !== 'hidden' &&
        control.checkVisibility({ visibilityProperty: true }) &&
        !control.closest('[inert]')
      );
    });
    for (const [i, control] of seen.entries()) control.dataset.control = String(i);
    return seen.length;
  });

const focused = (page: Page) =>
  page.evaluate(() => {
    const element = document.activeElement as HTMLElement | null;
    const style = element && getComputedStyle(element);
    const ring = Boolean(style && (style.outlineStyle !== 'none' || style.boxShadow !== 'none'));
    return { control: element?.dataset.control ?? null, tag: element?.tagName ?? '', ring };
  });

/** A group of radio buttons or tabs is one stop for the Tab key; arrows move within it. */
const stopsOf = (page: Page) =>
  page.evaluate(() => {
    const all = [...document.querySelectorAll<HTMLElement>('[data-control]')];
    return all
      .filter((element) => !(element instanceof HTMLInputElement && element.type === 'radio' && !element.checked))
      .filter((element) => !element.matches('[role=tab][aria-selected=false]'))
      .map((element) => ({
        control: element.dataset.control ?? '',
        words: `${element.tagName} ${element.innerText.slice(0, 30)} ${element.getAttribute('aria-label') ?? ''}`,
      }));
  });

test.each([
  ['/map', 'wide', WIDE],
  ['/joints', 'wide', WIDE],
  ['/service-life', 'wide', WIDE],
  ['/evidence', 'wide', WIDE],
  ['/odd-ones', 'wide', WIDE],
  ['/budget', 'wide', WIDE],
  ['/program', 'wide', WIDE],
  ['/closures', 'wide', WIDE],
  ['/data', 'wide', WIDE],
  ['/map', 'narrow', NARROW],
] as const)('every control of %s (%s) is reached by Tab and shows its focus', async (screen, _name, viewport) => {
  const { context, page } = await openPage(browser, { viewport });
  await page.goto(address + screen);
  if (screen === '/map') await mapAtRest(page);
  else await page.locator('h1').first().waitFor();
  await page.waitForLoadState('networkidle');
  // The test of the model that a first start begins shows a button, which would go while Tab is on its way.
  await page.locator('.job-indicator').waitFor({ state: 'detached', timeout: 60_000 });
  await markControls(page);
  const stops = await stopsOf(page);
  const reached = new Set<string>();
  const withoutRing: string[] = [];
  await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
  for (let i = 0; i < MOST_TABS; i++) {
    await page.keyboard.press('Tab');
    const { control, tag, ring } = await focused(page);
    if (tag === 'BODY' && i > 0) break;
    if (control === null) continue;
    if (reached.has(control) && reached.size >= stops.length) break;
    const first = !reached.has(control); // a date field has stops inside it that draw their own focus
    reached.add(control);
    if (first && !ring) withoutRing.push(stops.find((stop) => stop.control === control)?.words ?? control);
  }
  expect(stops.filter(({ control }) => !reached.has(control)).map(({ words }) => words)).toEqual([]);
  expect(withoutRing).toEqual([]);
  await context.close();
});
