import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    globalSetup: ['tests/set-up.ts'],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    // Two cores: more workers only make each other late.
    maxWorkers: 2,
  },
});
