import { defineConfig } from 'vitest/config';

export default defineConfig({
  root: new URL('..', import.meta.url).pathname,
  test: {
    include: ['tests/**/*.test.ts'],
    benchmark: { include: ['tests/bench/**/*.bench.ts'] },
    testTimeout: 60_000,
    hookTimeout: 120_000,
    pool: 'forks',
    maxWorkers: 2,
  },
});
