import { realpath, stat, writeFile } from 'node:fs/promises';
import { writeFileWhole } from '../../archive/write-file-whole.ts';
import { Complaint } from '../../workflow/complaint.ts';

/**
 * Writes what a command was asked to put into a file, whole or not at all: a full disk leaves no half file, and what lay there
 * before stays. A pipe or a device (`/dev/stdout`) is written to as it is. `option` asked for it. Throws a Complaint (73).
 */
export async function writeOut(
  path: string,
  content: string | Uint8Array,
  option = '--out',
): Promise<void> {
  try {
    const there = await stat(path).catch(() => null);
    if (there && !there.isFile()) await writeFile(path, content);
    else await writeFileWhole(there ? await realpath(path) : path, content);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    const why = reasons[code ?? ''] ?? (error as Error).message;
    const sentence = `${option}: expected a file that can be written, found ${path}: ${why}. Nothing was written; choose another place with ${option}`;
    throw new Complaint('cannot-create', sentence, { cause: error });
  }
}

const reasons: Readonly<Record<string, string>> = {
  ENOSPC: 'the disk is full (ENOSPC)',
  EDQUOT: 'the quota of the disk is used up (EDQUOT)',
  ENOENT: 'there is no such folder (ENOENT)',
  EISDIR: 'it is a folder (EISDIR)',
  EACCES: 'you may not write there (EACCES)',
  EROFS: 'the file system is read-only (EROFS)',
};
