import { readdirSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { Complaint } from '../complaint.ts';
import { located } from './shipped-file.ts';

/** Where commands look that are given no path. */
const usualSpecs = 'specs';

/**
 * The files under the given paths whose names end in one of `endings`, each once, in a stable order. A file that is
 * named itself comes whatever its name. Links to folders are not followed, so that a loop cannot catch us.
 */
export function findFiles(
  paths: readonly string[],
  endings: readonly string[],
  cwd: string,
): readonly string[] {
  const found = paths.flatMap((asked) => {
    const path = located(asked, cwd);
    const stat = statSync(resolve(cwd, path), { throwIfNoEntry: false });
    if (!stat) {
      if (path === usualSpecs) throw noSpecs(cwd);
      const expected = `expected a file or folder at ${path}, found none`;
      throw new Complaint('no-input', `${expected}; is the path right from ${cwd}?`);
    }
    return stat.isDirectory() ? inFolder(path, endings, cwd) : [path];
  });
  const seen = new Set<string>();
  return found.filter((file) => {
    const whole = resolve(cwd, file);
    return !seen.has(whole) && seen.add(whole);
  });
}

function noSpecs(cwd: string): Complaint {
  const sentence = `there is no folder ${usualSpecs} in ${cwd}`;
  return new Complaint('no-input', sentence, { remedy: 'new-project' });
}

function inFolder(folder: string, endings: readonly string[], cwd: string): string[] {
  return readdirSync(resolve(cwd, folder), { withFileTypes: true })
    .filter(({ name }) => !name.startsWith('.') && name !== 'node_modules')
    .sort((a, b) => (a.name < b.name ? -1 : 1))
    .flatMap((entry) => {
      const path = join(folder, entry.name);
      if (entry.isDirectory()) return inFolder(path, endings, cwd);
      return endings.some((ending) => entry.name.endsWith(ending)) ? [path] : [];
    });
}
