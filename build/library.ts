import { readdirSync, rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { build } from 'esbuild';

const root = resolve(import.meta.dirname, '..');
const metricsFolder = 'harness/measure/metrics';

/** What the package exports, as `evenfall/NAME`: the files of harness/exports that package.json names. */
export const libraryNames = ['driver', 'measure', 'record'] as const;

/**
 * One file for each, into `exports/` of `folder`, which is relative to the root of the package. They are readable, run wherever
 * JavaScript does, and name nothing but zod. What they share, and each metric, stands in a file of its own: a bundler drops whole
 * files for sure, and within a file only what it can prove to have no effect.
 */
export async function bundleLibrary(folder: string): Promise<void> {
  const outdir = `${folder}/exports`;
  for (const shared of ['metrics', 'parts'])
    rmSync(join(root, outdir, shared), { recursive: true, force: true });
  await build({
    absWorkingDir: root,
    entryPoints: [
      ...libraryNames.map((name) => ({ in: `harness/exports/${name}.ts`, out: name })),
      ...metricFiles().map((name) => ({
        in: `${metricsFolder}/${name}.ts`,
        out: `metrics/${name}`,
      })),
    ],
    outdir,
    chunkNames: 'parts/[hash]',
    bundle: true,
    splitting: true,
    platform: 'neutral',
    target: 'es2022',
    format: 'esm',
    external: ['zod'],
    legalComments: 'none',
    logLevel: 'warning',
  });
}

/** Without their ending. */
function metricFiles(): readonly string[] {
  return readdirSync(join(root, metricsFolder), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => name.slice(0, -'.ts'.length));
}
