import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser, openPage } from '../browser/open-browser.ts';
import { type BrowserUse, watchUse } from './browser-use.ts';
import { type Figure, keepFigures } from './figures.ts';
import { type Motion, watchMotion } from './frames.ts';
import { forecastNetwork } from './network.ts';
import { type BenchServer, startServer } from './server-process.ts';

let server: BenchServer;
let browser: Browser;
beforeAll(async () => {
  server = await startServer(await forecastNetwork('screens'));
  await server.idle();
  browser = await openBrowser([]);
});
afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

/** The map has come to rest. */
const atRest = (page: Page) => listButton(page, /^(List|Hide list): \d/);
/** The map has come to rest with lines on it. */
const withLines = (page: Page) => listButton(page, /^(List|Hide list): [1-9]/);
const listButton = (page: Page, name: RegExp) => page.getByRole('button', { name }).waitFor({ timeout: 120_000 });

const motionFigures = (what: string, motion: Motion): Figure[] => [
  { what: `${what}: middle gap between frames`, value: motion.middleGap, unit: 'ms' },
  { what: `${what}: longest gap between frames`, value: motion.longestGap, unit: 'ms' },
  { what: `${what}: tasks over 50 ms`, value: motion.longTasks, unit: '' },
  { what: `${what}: longest task`, value: motion.longestTask, unit: 'ms' },
];

const costFigures = (what: string, { page, drawing }: BrowserUse): Figure[] => [
  { what: `${what}: processor time of the page`, value: page, unit: 's' },
  { what: `${what}: processor time of drawing by software`, value: drawing, unit: 's' },
];

interface OpenMap {
  readonly page: Page;
  /** From the address to the first frame with all lines of the view. */ readonly drawnSeconds: number;
  /** To rest: labels settled, and the list of what is in view made. */ readonly seconds: number;
  readonly use: BrowserUse;
  readonly close: () => Promise<void>;
}

/** @param lines whether there is something to draw */
async function openMap(address: string, lines = true): Promise<OpenMap> {
  const { context, page, faults } = await openPage(browser);
  await page.goto('about:blank');
  const used = await watchUse(browser);
  const began = performance.now();
  await page.goto(server.address + address);
  await (lines ? withLines : atRest)(page);
  const seconds = (performance.now() - began) / 1000;
  const use = await used();
  const drawnAt = await page.evaluate(() => performance.getEntriesByName('map-lines-drawn').at(-1)?.startTime);
  expect(drawnAt).toBeGreaterThan(0);
  expect(faults).toEqual([]);
  return { page, drawnSeconds: (drawnAt ?? 0) / 1000, seconds, use, close: () => context.close() };
}

/** Drags the map to and fro in small steps, as a hand does. */
async function pan(page: Page): Promise<Motion> {
  const ended = await watchMotion(page);
  for (const [x, y] of [
    [-500, 120],
    [400, -200],
    [-450, 180],
  ]) {
    await page.mouse.move(900, 450);
    await page.mouse.down();
    await page.mouse.move(900 + x, 450 + y, { steps: 40 });
    await page.mouse.up();
  }
  const motion = await ended();
  await atRest(page);
  return motion;
}

test('draws and moves the map of 100,000 segments', async () => {
  const first = await openMap('/map');
  const again = await openMap('/map');
  const figures: Figure[] = [
    { what: 'map: from address to lines drawn', value: first.drawnSeconds, unit: 's', target: 'under 3 s' },
    { what: 'map: from address to lines drawn and at rest', value: first.seconds, unit: 's' },
    ...costFigures('map', first.use),
    { what: 'map: to lines drawn, tiles made before', value: again.drawnSeconds, unit: 's', target: 'under 3 s' },
    { what: 'map: the same, and at rest', value: again.seconds, unit: 's' },
    ...motionFigures('panning the whole network', await pan(first.page)),
  ];
  await first.close();
  await again.close();
  // What the map costs with nothing on it: the share of the drawing that is no concern of the network's size.
  const bare = await openMap('/map?search=nothing-has-this-name', false);
  figures.push(
    { what: 'map without lines: from address to rest', value: bare.seconds, unit: 's' },
    ...costFigures('map without lines', bare.use),
    ...motionFigures('panning it', await pan(bare.page)),
  );
  await bare.close();
  const { lon, lat } = await somewhereWithJoints();
  for (const zoom of [9, 12, 14]) {
    const near = await openMap(`/map?at=${lon},${lat},${zoom}`);
    figures.push(
      { what: `map at zoom ${zoom}: to lines drawn`, value: near.drawnSeconds, unit: 's', target: 'under 3 s' },
      { what: `map at zoom ${zoom}: to lines drawn and at rest`, value: near.seconds, unit: 's' },
      ...costFigures(`map at zoom ${zoom}`, near.use),
      ...motionFigures(`panning at zoom ${zoom}`, await pan(near.page)),
    );
    await near.close();
  }
  await keepFigures('map', figures);
});

/** The first position of the first longitudinal joint in id order. */
async function somewhereWithJoints(): Promise<{ lon: number; lat: number }> {
  const page = (await (await server.get('/api/segments?limit=1&jointType=longitudinal')).json()) as {
    items: { id: string }[];
  };
  const card = (await (await server.get(`/api/segments/${encodeURIComponent(page.items[0].id)}`)).json()) as {
    segment: { geometry: { coordinates: unknown[] } };
  };
  const [lon, lat] = (card.segment.geometry.coordinates as unknown[]).flat(3) as number[];
  return { lon, lat };
}

const SCROLL_PX = 20_000;

test('scrolls the table of 100,000 segments', async () => {
  const { context, page } = await openPage(browser);
  const began = performance.now();
  await page.goto(`${server.address}/joints`);
  await page.locator('tr[data-index="10"]').waitFor({ timeout: 60_000 });
  const opened = (performance.now() - began) / 1000;
  const used = await watchUse(browser);
  const ended = await watchMotion(page);
  const scrolled = await page.evaluate(scrollDown, SCROLL_PX);
  const motion = await ended();
  const use = await used();
  await context.close();
  await keepFigures('table', [
    { what: 'table: from address to rows', value: opened, unit: 's' },
    { what: `scrolling ${SCROLL_PX} px, 100 px a frame`, value: scrolled.milliseconds / 1000, unit: 's' },
    { what: 'frames without a row in the middle', value: scrolled.blankFrames, unit: '' },
    { what: 'frames that waited for rows to be read', value: scrolled.waitingFrames, unit: '' },
    ...costFigures('scrolling', use),
    ...motionFigures('scrolling', motion),
  ]);
});

/** Runs in the page. */
async function scrollDown(px: number) {
  const scroller = document.querySelector('.joints-scroll') as HTMLElement;
  const box = scroller.getBoundingClientRect();
  const nextFrame = () => new Promise((resolve) => requestAnimationFrame(resolve));
  const began = performance.now();
  let [blankFrames, waitingFrames] = [0, 0];
  while (scroller.scrollTop < px && performance.now() - began < 60_000) {
    const before = scroller.scrollTop;
    scroller.scrollTop = before + 100;
    if (scroller.scrollTop === before) waitingFrames++;
    await nextFrame();
    const seen = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    if (!seen?.closest('tr[data-index]')) blankFrames++;
  }
  return { milliseconds: performance.now() - began, blankFrames, waitingFrames };
}
