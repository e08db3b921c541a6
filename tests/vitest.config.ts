import { defineConfig } from 'vitest/config';

const root = new URL('..', import.meta.url).pathname;

/** Work with a browser or with killed processes runs after the rest, so that little else takes the two cores. */
export default defineConfig({
  root,
  test: {
    testTimeout: 60_000,
    hookTimeout: 120_000,
    // Facts that are waited for come late on a machine that is busy with other things.
    expect: { poll: { timeout: 30_000 } },
    pool: 'forks',
    maxWorkers: 2,
    projects: [
      {
        extends: true,
        test: {
          name: 'unit',
          include: ['tests/unit/**/*.test.ts', 'tests/api/**/*.test.ts'],
          globalSetup: ['tests/run-folder.ts'],
          // Files share a process, so that each need not read all of the code again. None changes what others see.
          isolate: false,
        },
      },
      {
        extends: true,
        test: { name: 'faults', include: ['tests/faults/**/*.test.ts'], sequence: { groupOrder: 1 }, maxWorkers: 1 },
      },
      {
        extends: true,
        test: {
          name: 'browser',
          include: ['tests/browser/**/*.test.ts'],
          globalSetup: ['tests/run-folder.ts', 'tests/browser/global-setup.ts'],
          testTimeout: 180_000,
          sequence: { groupOrder: 2 },
        },
      },
    ],
  },
});
