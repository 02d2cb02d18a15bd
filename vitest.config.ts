import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    globalSetup: ['tests/set-up.ts'],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    // Real sockets, terminals and clocks: a starved machine may miss a deadline once. What fails three times is red.
    retry: process.env['CI'] ? 2 : 0,
    // Two cores: more workers only make each other late.
    maxWorkers: 2,
  },
});
