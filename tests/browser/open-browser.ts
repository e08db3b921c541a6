import { existsSync } from 'node:fs';
import { AxeBuilder } from '@axe-core/playwright';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';

const CANDIDATES = [
  process.env.KERFCAST_CHROMIUM,
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
];
// Software WebGL, since test machines have no graphics; nothing that calls out of the machine.
const FLAGS = [
  '--no-sandbox',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--ignore-gpu-blocklist',
];
// The page around the map is drawn without WebGL: in software that takes a fifth of the time.
const PAGE_FLAGS = ['--disable-gpu-compositing', '--disable-gpu-rasterization'];

export const WIDE = { width: 1440, height: 900 };
export const NARROW = { width: 390, height: 844 };

/** @param pageFlags how the page is drawn; what measures frames leaves that to the browser */
export async function openBrowser(pageFlags: readonly string[] = PAGE_FLAGS): Promise<Browser> {
  const executablePath = CANDIDATES.find((file) => file && existsSync(file));
  if (!executablePath)
    throw new Error('No Chromium found. npm test installs it where it may; or set KERFCAST_CHROMIUM.');
  return chromium.launch({ executablePath, args: [...FLAGS, ...pageFlags] });
}

export interface Watched {
  readonly context: BrowserContext;
  readonly page: Page;
  /** What went wrong in the page: script errors, refused content, failed requests. */ readonly faults: string[];
}

/** A fresh page that remembers everything that went wrong in it. */
export async function openPage(
  browser: Browser,
  options: { viewport?: typeof WIDE; colorScheme?: 'light' | 'dark' } = {},
): Promise<Watched> {
  const context = await browser.newContext({ viewport: WIDE, reducedMotion: 'reduce', ...options });
  const page = await context.newPage();
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(`script: ${error.message}`));
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(`console: ${message.text()}`);
  });
  page.on('response', (response) => {
    if (response.status() >= 500) faults.push(`${response.status()} ${response.url()}`);
  });
  return { context, page, faults };
}

/** Waits until the map has come to rest and says how much it shows. */
export const mapAtRest = (page: Page) =>
  page.getByRole('button', { name: /^(List|Hide list): [\d,]+ / }).waitFor({ timeout: 45_000 });

const AXE_TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

export interface Looked {
  /** A part of the page, as a selector. */ readonly within?: string;
  /** These rules alone. */ readonly only?: readonly string[];
}

/** What axe finds wrong with the page as it stands: one line each, with the first place. */
export async function violationsOf(page: Page, { within, only }: Looked = {}): Promise<string[]> {
  // No page of ours has frames, for which axe would gather what it finds in a page of its own.
  const axe = new AxeBuilder({ page }).options({ resultTypes: ['violations'] }).setLegacyMode();
  const looking = only ? axe.withRules([...only]) : axe.withTags(AXE_TAGS);
  const { violations } = await (within ? looking.include(within) : looking).analyze();
  const { pathname } = new URL(page.url());
  return violations.map(({ id, nodes }) => `${pathname} ${id}: ${nodes[0].target.join(' ')}`);
}

/** Changes the colours of the system, and waits until the page has changed with them. */
export async function changeScheme(page: Page, colorScheme: 'light' | 'dark'): Promise<void> {
  await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
  await page.evaluate(async () => {
    const frame = () => new Promise((done) => requestAnimationFrame(done));
    await frame();
    await frame();
    await Promise.allSettled(document.getAnimations().map(({ finished }) => finished));
  });
}

/** What axe finds wrong with the page as it stands, and whether it is wider than its window. */
export async function looksWrong(page: Page, what: string): Promise<string[]> {
  const [violations, overflow] = [await violationsOf(page), await overflowOf(page)];
  return [
    ...violations.map((line) => `${what}: ${line}`),
    ...(overflow > 0 ? [`${what} overflows by ${overflow}`] : []),
  ];
}

/** By how many px the page is wider than its window. */
export const overflowOf = (page: Page): Promise<number> =>
  page.evaluate(() => Math.max(0, document.documentElement.scrollWidth - window.innerWidth));
