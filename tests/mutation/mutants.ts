import { readFileSync } from 'node:fs';
import { Stryker } from '@stryker-mutator/core';
import type { MutationGroup } from './groups.ts';

/** One small change of the code, and whether every test of its group passed with it. */
export interface Mutant {
  readonly file: string;
  /** Of its first character, counted from 1. */
  readonly line: number;
  readonly original: string;
  readonly replacement: string;
  readonly survived: boolean;
}

/** Runs the group's tests against each mutant of `sources` (globs, or `file:first-last` for a range of lines). */
export async function mutate(
  group: MutationGroup,
  sources: readonly string[],
): Promise<readonly Mutant[]> {
  process.env['MUTATION_GROUP'] = group.name;
  const results = await new Stryker({
    testRunner: 'vitest',
    plugins: ['@stryker-mutator/vitest-runner'],
    vitest: { configFile: 'tests/mutation/vitest.config.ts', related: false },
    mutate: [...sources],
    ignorePatterns: ['/dist', '/reports', '/tests/firmware/alcove/build'],
    coverageAnalysis: 'perTest',
    concurrency: 1,
    tempDirName: '.mutants',
    reporters: [],
    // A mutant that loops for ever is one that the tests notice.
    timeoutMS: 10_000,
    // They need the whole program loaded anew for each.
    ignoreStatic: true,
    // The compiler's own API, which the default wants, is not in this version.
    tsconfigFile: 'none',
  }).runMutationTest();
  return results.flatMap(({ fileName, location, replacement, status }) => {
    if (status === 'Ignored' || status === 'CompileError') return [];
    const text = readFileSync(fileName, 'utf8').split('\n');
    // Lines and columns are counted from 1.
    const { start, end } = location;
    const rows = text.slice(start.line - 1, end.line);
    const last = rows.length - 1;
    const original = rows
      .map((row, k) =>
        row.slice(k === 0 ? start.column - 1 : 0, k === last ? end.column - 1 : undefined),
      )
      .join(' ')
      .replace(/\s+/g, ' ');
    return {
      file: fileName.slice(fileName.indexOf('harness/')),
      line: start.line,
      original,
      replacement: (replacement ?? '').replace(/\s+/g, ' '),
      survived: status === 'Survived' || status === 'NoCoverage',
    };
  });
}
