import { defineConfig } from 'vitest/config';

// Two cores are the smallest machine this runs on; scenario and browser tests each want one.
export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    testTimeout: 120_000,
    hookTimeout: 60_000,
    maxWorkers: 2,
    reporters: ['default'],
  },
});
