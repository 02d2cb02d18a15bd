import { defineConfig } from 'vitest/config';
import { groupNamed } from './groups.ts';

/** The tests that a mutant has to pass: those of its own group, which `mutate.ts` names. */
export default defineConfig({
  test: {
    root: '.',
    include: [...groupNamed(process.env['MUTATION_GROUP']).tests],
    testTimeout: 60_000,
  },
});
