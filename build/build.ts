import { readdirSync, rmSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { build } from 'esbuild';
import { writeDeclarations, writeReports } from './declarations.ts';
import { bundleLibrary } from './library.ts';
import { makePageAssets } from './page-assets.ts';

/**
 * `npm run build`: the scripts and styles of pages, then the program and what the package exports in dist/ (or in the folder of
 * `--out`). With `--assets` only the former, which is all that running from the sources needs; with `--declarations` only the types of
 * the exports, which only a package needs; with `--api-report` only the signatures that are kept in docs/api.
 */
const { values: options } = parseArgs({
  options: {
    assets: { type: 'boolean' },
    declarations: { type: 'boolean' },
    'api-report': { type: 'boolean' },
    out: { type: 'string', default: 'dist' },
  },
});
if (options['api-report']) writeReports();
else if (options.declarations) writeDeclarations(options.out);
else await buildAll();

async function buildAll(): Promise<void> {
  await makePageAssets();
  if (options.assets) return;
  await bundleProgram(options.out);
  await bundleLibrary(options.out);
}

/** `folder` is relative to the root of the package. */
async function bundleProgram(folder: string): Promise<void> {
  const root = resolve(import.meta.dirname, '..');
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
  removeOldChunks(resolve(root, folder, 'chunks'), new Set(Object.keys(metafile.outputs)), root);
}

/** Chunks are named by their content: those of earlier builds would be packed with the others. */
function removeOldChunks(folder: string, built: ReadonlySet<string>, root: string): void {
  for (const name of readdirSync(folder)) {
    const path = join(folder, name);
    if (!built.has(relative(root, path))) rmSync(path);
  }
}
