import { libraryText } from './library.ts';

/**
 * Where a project keeps its specs as they were in the library that they came from: `.library/VERSION/PATH`. Without them nobody could
 * tell what the user has changed from what a newer library has. Folders that begin with a point hold no specs.
 */
const basesFolder = '.library';

/** The texts to keep of files of the installed library, by their paths in the folder of specs. */
export function basesIn(paths: readonly string[], version: string): ReadonlyMap<string, string> {
  return new Map(paths.map((path) => [`${basesFolder}/${version}/${path}`, libraryText(path)]));
}
