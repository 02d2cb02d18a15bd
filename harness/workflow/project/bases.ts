import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join, sep } from 'node:path';
import { libraryText } from './library.ts';

/**
 * Where a project keeps its specs as they were in the library that they came from: `.library/VERSION/PATH`. Without them nobody could
 * tell what the user has changed from what a newer library has. Folders that begin with a point hold no specs.
 */
const basesFolder = '.library';

/** A file of the project as it was in the library. */
export interface Base {
  readonly version: string;
  readonly text: string;
}

/** The texts to keep of files of the installed library, by their paths in the folder of specs. */
export function basesIn(paths: readonly string[], version: string): ReadonlyMap<string, string> {
  return new Map(paths.map((path) => [`${basesFolder}/${version}/${path}`, libraryText(path)]));
}

/** What a folder of specs keeps, by the paths of its files. */
export function readBases(specs: string): ReadonlyMap<string, Base> {
  return new Map(
    keptIn(specs).map(([version, path]) => [
      path,
      { version, text: readFileSync(join(specs, basesFolder, version, path), 'utf8') },
    ]),
  );
}

/** Keeps another text of a file instead of that which was kept. */
export function keepBase(specs: string, path: string, { version, text }: Base): void {
  for (const [own, other] of keptIn(specs))
    if (other === path && own !== version) rmSync(join(specs, basesFolder, own, path));
  const file = join(specs, basesFolder, version, path);
  mkdirSync(dirname(file), { recursive: true });
  writeFileSync(file, text);
}

function keptIn(specs: string): [version: string, path: string][] {
  const root = join(specs, basesFolder);
  return foldersIn(root).flatMap((version) =>
    readdirSync(join(root, version), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry): [string, string] => {
        const path = join(entry.parentPath, entry.name).slice(join(root, version).length + 1);
        return [version, path.split(sep).join('/')];
      }),
  );
}

function foldersIn(root: string): string[] {
  try {
    return readdirSync(root, { withFileTypes: true })
      .filter((entry) => entry.isDirectory())
      .map(({ name }) => name)
      .sort();
  } catch {
    return [];
  }
}
