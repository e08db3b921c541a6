import { rmdir } from 'node:fs/promises';
import { setTimeout } from 'node:timers/promises';
import { afterAll, inject } from 'vitest';
import { takes } from '../run-folder.ts';

/** Test files run side by side, and some change what they look at: each takes an agency for itself, by making its mark. */
async function takeAgency(): Promise<{ readonly address: string; readonly mark: string }> {
  for (;;) {
    for (const agency of inject('agencies')) if (await takes(agency.mark)) return agency;
    await setTimeout(100);
  }
}

const taken = await takeAgency();
/** Where the demo agency is served to this file alone. */
export const { address } = taken;
// Hooks end in the reverse of their order: what a file leaves is cleared away before its agency is given back.
afterAll(() => rmdir(taken.mark));
