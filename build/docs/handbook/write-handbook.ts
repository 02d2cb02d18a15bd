import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { handbook } from './handbook.ts';

/** `npm run handbook`: writes `docs/metrics` anew, from what stands beside each metric. */
const root = resolve(import.meta.dirname, '../../..');
const folder = join(root, 'docs/metrics');
const files = await handbook(root);
rmSync(folder, { recursive: true, force: true });
for (const [name, text] of files) {
  mkdirSync(dirname(join(folder, name)), { recursive: true });
  writeFileSync(join(folder, name), text);
}
process.stdout.write(`${files.size} files in ${folder}\n`);
