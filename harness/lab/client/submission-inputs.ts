import { createHash } from 'node:crypto';
import { basename, dirname, relative, resolve } from 'node:path';
import { libraryFolder } from '../../workflow/inputs/shipped-file.ts';

/**
 * The name that an input has in the lab, below the folder of its submission: as seen from here where it lies below, else by the folders
 * of the shipped library, else by its own folder and a digest of what is above it.
 */
export function inputName(file: string, cwd: string): string {
  const path = resolve(cwd, file);
  const own = below(cwd, path);
  if (own !== null) return own;
  const shipped = below(libraryFolder, path);
  if (shipped !== null) return `library/${shipped}`;
  const above = createHash('sha256').update(dirname(path)).digest('hex').slice(0, 8);
  return `outside/${above}/${basename(dirname(path))}/${basename(path)}`;
}

function below(folder: string, path: string): string | null {
  const name = relative(folder, path).replaceAll('\\', '/');
  return name === '' || name.startsWith('../') || name.startsWith('/') || /^[a-z]:/i.test(name)
    ? null
    : name;
}
