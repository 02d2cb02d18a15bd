import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { defineConfig } from 'vitest/config';
import type { Instrumented } from './instrument.ts';

/** Of the instrumented code: written by `mutants.ts`, which starts this. */
const { code } = JSON.parse(
  readFileSync(process.env['MUTATION_CODE'] ?? '', 'utf8'),
) as Instrumented;

export default defineConfig({
  plugins: [
    {
      name: 'changes of the code',
      enforce: 'pre',
      async resolveId(source, importer) {
        if (!source.endsWith('/memoise.ts') || importer?.includes('/tests/')) return null;
        return resolve('tests/mutation/forgetful.ts');
      },
      transform: (text, id) => code[id.split('?')[0] ?? id] ?? text,
    },
  ],
  test: {
    root: '.',
    include: ['tests/mutation/all-tests.ts'],
    runner: resolve('tests/mutation/mutating-runner.ts'),
    pool: 'forks',
    maxWorkers: 1,
    testTimeout: 60_000,
    reporters: ['dot'],
  },
});
