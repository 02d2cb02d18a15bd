import { readdirSync, rmSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { build } from 'esbuild';

const root = resolve(import.meta.dirname, '..');

/** The program and the files that it starts as workers and processes, into `folder`, which is relative to the root of the package. */
export async function bundleProgram(folder: string): Promise<void> {
  const { metafile } = await build({
    absWorkingDir: root,
    metafile: true,
    entryPoints: [
      'harness/cli/main.ts',
      'harness/workflow/lanes/plant-worker.ts',
      'harness/workflow/exploring/explore-worker.ts',
      'harness/workflow/rig/watchdog-process.ts',
      'harness/workflow/rig/heart.ts',
    ],
    outdir: folder,
    entryNames: '[name]',
    chunkNames: 'chunks/[name]-[hash]',
    bundle: true,
    splitting: true,
    platform: 'node',
    target: 'node20',
    format: 'esm',
    minifyWhitespace: true,
    // Native code, what would drag a browser along, and 15 MB that few runs load.
    external: [
      ...['@photostructure/sqlite', 'serialport', 'playwright-core', 'koffi', 'binaryen'],
      ...['@electric-sql/pglite', 'pg', 'pg-boss'],
    ],
    // Packages that are CommonJS ask for these.
    banner: {
      js: [
        "import { createRequire as cjsRequire } from 'node:module';",
        'const require = cjsRequire(import.meta.url);',
        'const __filename = import.meta.filename;',
        'const __dirname = import.meta.dirname;',
      ].join(' '),
    },
    legalComments: 'none',
    logLevel: 'warning',
  });
  removeOldChunks(resolve(root, folder, 'chunks'), new Set(Object.keys(metafile.outputs)));
}

/** Chunks are named by their content: those of earlier builds would be packed with the others. */
function removeOldChunks(folder: string, built: ReadonlySet<string>): void {
  for (const name of readdirSync(folder)) {
    const path = join(folder, name);
    if (!built.has(relative(root, path))) rmSync(path);
  }
}
