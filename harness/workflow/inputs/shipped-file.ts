import { existsSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The folder of the installed package: it holds the shipped specs, lamps and rigs. */
export const packageRoot: string = findRoot(dirname(fileURLToPath(import.meta.url)));

/** The shipped specs, lamps, rigs and schemas. */
export const libraryFolder: string = join(packageRoot, 'specs');

/** What a path begins with that means the shipped library, wherever it is installed. */
const prefix = 'library:';

export function isOfLibrary(path: string): boolean {
  return path.startsWith(prefix);
}

/** A path as seen from `cwd`; `library:fading` is the folder `fading` of the shipped library, `library:` the whole of it. */
export function located(path: string, cwd: string): string {
  return isOfLibrary(path) ? shippedFile(path.slice(prefix.length), cwd) : path;
}

/** A file that ships with Evenfall, as seen from `cwd`. */
export function shippedFile(name: string, cwd: string): string {
  const path = join(libraryFolder, name);
  return relative(cwd, path) || path;
}

function findRoot(folder: string): string {
  if (existsSync(join(folder, 'package.json'))) return folder;
  const parent = dirname(folder);
  return parent === folder ? folder : findRoot(parent);
}
