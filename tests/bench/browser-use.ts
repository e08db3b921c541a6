import type { Browser } from 'playwright-core';

/** Processor seconds of a browser's processes. Drawing by software is most of `drawing`; a graphics card takes it away. */
export interface BrowserUse {
  readonly page: number;
  readonly drawing: number;
}

interface ProcessInfo {
  readonly type: string;
  readonly cpuTime: number;
}

/** What the browser's page processes and its drawing process have used so far. */
async function browserUse(browser: Browser): Promise<BrowserUse> {
  const session = await browser.newBrowserCDPSession();
  const { processInfo } = (await session.send('SystemInfo.getProcessInfo')) as { processInfo: ProcessInfo[] };
  await session.detach();
  const sum = (type: string) =>
    processInfo.filter((one) => one.type === type).reduce((total, { cpuTime }) => total + cpuTime, 0);
  return { page: sum('renderer'), drawing: sum('GPU') };
}

/** Begins to count; the answer tells what was used since. Pages must stay open meanwhile. */
export async function watchUse(browser: Browser): Promise<() => Promise<BrowserUse>> {
  const before = await browserUse(browser);
  return async () => {
    const after = await browserUse(browser);
    return { page: after.page - before.page, drawing: after.drawing - before.drawing };
  };
}
