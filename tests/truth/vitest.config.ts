import { defineConfig } from 'vitest/config';

// The whole comparison with the simulator's truth takes an hour or two; a shortened one is part of
// the ordinary suite (truth.test.ts). Its size: SEEDS, CASES, DAYS, LOSSES, POSITION_DAYS.
export default defineConfig({
  test: {
    root: new URL('../..', import.meta.url).pathname,
    include: ['tests/truth/*.truth.ts'],
    globalSetup: ['tests/truth/printed-tables.ts'],
    testTimeout: 6 * 3_600_000,
    maxWorkers: 2,
    disableConsoleIntercept: true,
    reporters: ['default'],
  },
});
