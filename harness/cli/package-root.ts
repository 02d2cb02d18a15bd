import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The folder of the installed package: where the shipped specs, lamps and rigs lie. */
export const packageRoot: string = findRoot(dirname(fileURLToPath(import.meta.url)));

function findRoot(folder: string): string {
  if (existsSync(join(folder, 'package.json'))) return folder;
  const parent = dirname(folder);
  return parent === folder ? folder : findRoot(parent);
}
