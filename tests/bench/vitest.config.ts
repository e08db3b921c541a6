import { defineConfig } from 'vitest/config';

/** Timings, one file after the other, so that none takes the processor from another. Nothing here asserts a time. */
export default defineConfig({
  root: new URL('../..', import.meta.url).pathname,
  test: {
    include: ['tests/bench/**/*.bench.ts'],
    globalSetup: ['tests/bench/collect-figures.ts'],
    pool: 'forks',
    maxWorkers: 1,
    fileParallelism: false,
    testTimeout: 1_200_000,
    hookTimeout: 1_200_000,
  },
});
