import { existsSync } from 'node:fs';
import { mkdir, rename, rm, rmdir } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { setTimeout } from 'node:timers/promises';
import type { TestProject } from 'vitest/node';

declare module 'vitest' {
  interface ProvidedContext {
    /** What test files share in one run of the tests; the next run begins with an empty one. */ runFolder: string;
  }
}

/** Makes the folder of this run, one for all projects, and takes it away at the end. */
export default async function provideRunFolder(project: TestProject): Promise<() => Promise<void>> {
  const folder = runFolder();
  await mkdir(folder, { recursive: true });
  project.provide('runFolder', folder);
  return () => rm(folder, { recursive: true, force: true });
}

/** No other process has this name, nor had: it tells the process that runs the tests by its number and its beginning. */
export const runFolder = (): string =>
  path.join(tmpdir(), `kerfcast-run-${process.pid}-${Math.round(performance.timeOrigin)}`);

/**
 * A folder that whoever needs it first fills, while others wait: test files run side by side. It appears whole or not at all.
 * @returns the folder, to be read only
 */
export async function madeOnce(folder: string, fill: (folder: string) => Promise<void>): Promise<string> {
  const mark = `${folder}.making`;
  while (!existsSync(folder)) {
    if (!(await takes(mark))) {
      await setTimeout(50);
      continue;
    }
    try {
      if (!existsSync(folder)) await fillAndShow(folder, fill);
    } finally {
      await rmdir(mark);
    }
  }
  return folder;
}

async function fillAndShow(folder: string, fill: (folder: string) => Promise<void>): Promise<void> {
  const unfinished = `${folder}.unfinished`;
  await rm(unfinished, { recursive: true, force: true });
  await mkdir(unfinished);
  await fill(unfinished);
  await rename(unfinished, folder);
}

/** Takes what one may have at a time, by making its mark. @returns false while another has it */
export async function takes(mark: string): Promise<boolean> {
  try {
    await mkdir(mark);
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw error;
  }
}
