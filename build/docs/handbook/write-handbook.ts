import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { reference } from '../reference/reference.ts';
import { handbook } from './handbook.ts';

/** `npm run handbook`: writes `docs/metrics` and `docs/reference` anew, from the metrics and the schemas. */
const root = resolve(import.meta.dirname, '../../..');
for (const [folder, files] of [
  ['docs/metrics', await handbook(root)],
  ['docs/reference', await reference(root)],
] as const) {
  rmSync(join(root, folder), { recursive: true, force: true });
  for (const [name, text] of files) {
    const file = join(root, folder, name);
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(file, text);
  }
  process.stdout.write(`${files.size} files in ${folder}\n`);
}
