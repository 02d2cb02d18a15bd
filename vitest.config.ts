import { defineConfig } from 'vitest/config';
import { MixedSequence } from './tests/mixed-sequence.ts';

/** A test that hangs ends; on a machine that others slow down the longest take two minutes. */
const patience = { testTimeout: 300_000, hookTimeout: 300_000 };

/** Tests over real ports, terminals and clocks. */
const realTime = [
  'tests/drivers/{conformance,console,dali,dmx,emulate,program,sacn,scpi,webpage}/**/*.test.ts',
  'tests/drivers/open-rig.test.ts',
  'tests/docs/tutorials.test.ts',
  'tests/exports/packed-product.test.ts',
  'tests/trouble/**/*.test.ts',
  'tests/lab/{real-rigs,real-rigs-killed}.test.ts',
  'tests/cli/{emulate,rig-command,rig-explore,rig-prepare,rig-run}.test.ts',
];

export default defineConfig({
  test: {
    globalSetup: ['tests/set-up.ts'],
    // On two cores: about four files wait for a rig at any time, and the others compute at a lower priority.
    maxWorkers: 6,
    sequence: { sequencer: MixedSequence },
    projects: [
      {
        test: {
          name: 'exact',
          include: ['tests/**/*.test.ts'],
          exclude: realTime,
          setupFiles: ['tests/stand-back.ts'],
          // One process loads the harness for many files: else that is half of what a small file takes.
          isolate: false,
          // Node loads the modules itself: under Vite's loader each call of an imported function is a call of a getter first,
          // which takes half of the time of what computes.
          execArgv: ['--import', 'tsx'],
          experimental: { viteModuleRunner: false, nodeLoader: false },
          ...patience,
        },
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
