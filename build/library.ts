import { resolve } from 'node:path';
import { build } from 'esbuild';

/** What the package exports, as `evenfall/NAME`: the files of harness/exports that package.json names. */
export const libraryNames = ['driver', 'measure', 'record'] as const;

/**
 * One file for each, into `exports/` of `folder`, which is relative to the root of the package. They are readable, run wherever
 * JavaScript does, and name nothing but zod.
 */
export async function bundleLibrary(folder: string): Promise<void> {
  await build({
    absWorkingDir: resolve(import.meta.dirname, '..'),
    entryPoints: libraryNames.map((name) => `harness/exports/${name}.ts`),
    outdir: `${folder}/exports`,
    bundle: true,
    platform: 'neutral',
    target: 'es2022',
    format: 'esm',
    external: ['zod'],
    legalComments: 'none',
    logLevel: 'warning',
  });
}
