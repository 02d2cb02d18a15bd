import { readdir } from 'node:fs/promises';
import { fileSystemError } from './archive-error.ts';

const pattern = /^\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ-/;

/** Names of the run folders of an archive, oldest first; none where the archive does not exist yet. */
export async function listRunFolders(root: string): Promise<string[]> {
  try {
    return (await readdir(root)).filter((name) => pattern.test(name)).sort();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw fileSystemError(error, `reading the archive ${root}`);
  }
}
