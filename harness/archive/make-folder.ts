import { mkdir } from 'node:fs/promises';
import { dirname } from 'node:path';
import { ArchiveError } from './archive-error.ts';

/**
 * Makes a folder and those above it that are missing. Node's own recursion never ends where a parent exists but takes no
 * children (`/proc`, a mount point that is not mounted): there this one rejects with what the file system says.
 */
export async function makeFolder(path: string): Promise<void> {
  try {
    await makeOne(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT' || dirname(path) === path) throw error;
    await makeFolder(dirname(path));
    await makeOne(path).catch((again: NodeJS.ErrnoException) => {
      // Its parent is there by now, so nothing is missing: it is refused.
      if (again.code !== 'ENOENT') throw again;
      const text = `making ${path}: the file system refuses it; choose a folder that you can write to`;
      throw new ArchiveError('not-writable', text, { cause: again });
    });
  }
}

async function makeOne(path: string): Promise<void> {
  try {
    await mkdir(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  }
}
