import { mkdir, rmdir } from 'node:fs/promises';
import { setTimeout } from 'node:timers/promises';
import { afterAll, inject } from 'vitest';

const isTaken = (error: unknown): boolean => (error as NodeJS.ErrnoException).code === 'EEXIST';

/** Test files run side by side, and some change what they look at: each takes an agency for itself, by making its mark. */
async function takeAgency(): Promise<{ readonly address: string; readonly mark: string }> {
  for (;;) {
    for (const agency of inject('agencies')) {
      try {
        await mkdir(agency.mark);
        return agency;
      } catch (error) {
        if (!isTaken(error)) throw error;
      }
    }
    await setTimeout(100);
  }
}

const taken = await takeAgency();
/** Where the demo agency is served to this file alone. */
export const { address } = taken;
// Hooks end in the reverse of their order: what a file leaves is cleared away before its agency is given back.
afterAll(() => rmdir(taken.mark));
