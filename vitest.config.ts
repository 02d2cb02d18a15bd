import { defineConfig } from 'vitest/config';

const patience = { testTimeout: 60_000, hookTimeout: 120_000 };

/** Tests over real ports, terminals and clocks. */
const realTime = [
  'tests/drivers/{conformance,console,dali,dmx,emulate,program,sacn,scpi,webpage}/**/*.test.ts',
  'tests/drivers/open-rig.test.ts',
  'tests/exports/packed-product.test.ts',
  'tests/trouble/**/*.test.ts',
  'tests/cli/{emulate,rig-command,rig-explore,rig-run}.test.ts',
];

export default defineConfig({
  test: {
    globalSetup: ['tests/set-up.ts'],
    // Two cores: more workers only make each other late.
    maxWorkers: 2,
    projects: [
      {
        test: { name: 'exact', include: ['tests/**/*.test.ts'], exclude: realTime, ...patience },
      },
      {
        test: {
          name: 'real time',
          include: realTime,
          // A starved machine may miss a deadline once; what fails three times is red.
          retry: process.env['CI'] ? 2 : 0,
          ...patience,
        },
      },
    ],
  },
});
