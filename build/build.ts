import { parseArgs } from 'node:util';
import { writeDeclarations, writeReports } from './declarations.ts';
import { bundleLibrary } from './library.ts';
import { makePageAssets } from './page-assets.ts';
import { bundleProgram } from './program.ts';

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
