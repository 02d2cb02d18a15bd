import { existsSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The folder of the installed package: it holds the shipped specs, lamps and rigs. */
const packageRoot: string = findRoot(dirname(fileURLToPath(import.meta.url)));

/** A file that ships with Evenfall, as seen from `cwd`. */
export function shippedFile(name: string, cwd: string): string {
  const path = join(packageRoot, 'specs', name);
  return relative(cwd, path) || path;
}

function findRoot(folder: string): string {
  if (existsSync(join(folder, 'package.json'))) return folder;
  const parent = dirname(folder);
  return parent === folder ? folder : findRoot(parent);
}
