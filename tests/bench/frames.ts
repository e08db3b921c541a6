import type { Page } from 'playwright-core';
import { spreadOf } from './figures.ts';

/** How a page moved between two moments. Milliseconds. */
export interface Motion {
  readonly frames: number;
  readonly middleGap: number;
  readonly longestGap: number;
  /** Tasks of the page's own thread over 50 ms: each is a stutter. */ readonly longTasks: number;
  readonly longestTask: number;
  readonly longTaskTime: number;
}

interface Watch {
  gaps: number[];
  tasks: number[];
}

/** Begins to watch frames and long tasks of a page; the answer ends the watch. */
export async function watchMotion(page: Page): Promise<() => Promise<Motion>> {
  await page.evaluate(() => {
    const watch: Watch = { gaps: [], tasks: [] };
    Object.assign(window, { benchWatch: watch });
    const observer = new PerformanceObserver((list) => {
      for (const { duration } of list.getEntries()) watch.tasks.push(duration);
    });
    observer.observe({ entryTypes: ['longtask'] });
    let before = performance.now();
    const frame = (now: number) => {
      if (!('benchWatch' in window)) return observer.disconnect();
      watch.gaps.push(now - before);
      before = now;
      requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  });
  return async () => {
    const { gaps, tasks } = await page.evaluate(() => {
      const holder = window as unknown as { benchWatch?: Watch };
      const found = holder.benchWatch as Watch;
      delete holder.benchWatch;
      return found;
    });
    const spread = spreadOf(gaps.length > 0 ? gaps : [Number.NaN]);
    return {
      frames: gaps.length,
      middleGap: spread.p50,
      longestGap: spread.most,
      longTasks: tasks.length,
      longestTask: Math.max(0, ...tasks),
      longTaskTime: tasks.reduce((sum, task) => sum + task, 0),
    };
  };
}
