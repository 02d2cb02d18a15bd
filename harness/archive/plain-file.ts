import {
  closeSync,
  constants,
  type Dirent,
  fstatSync,
  lstatSync,
  openSync,
  readFileSync,
  type Stats,
} from 'node:fs';
import { type FileHandle, lstat, open } from 'node:fs/promises';
import { ArchiveError } from './archive-error.ts';

/** What can lie at a path, in words. */
export type EntryKind = 'file' | 'folder' | 'symbolic link' | 'named pipe' | 'socket' | 'device';

export function kindOf(entry: Stats | Dirent): EntryKind {
  if (entry.isFile()) return 'file';
  if (entry.isDirectory()) return 'folder';
  if (entry.isSymbolicLink()) return 'symbolic link';
  if (entry.isFIFO()) return 'named pipe';
  return entry.isSocket() ? 'socket' : 'device';
}

/** What lies at a path, neither followed nor opened; null where nothing does. */
export async function entryAt(path: string): Promise<EntryKind | null> {
  try {
    return kindOf(await lstat(path));
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  }
}

/**
 * Opens a file of a run folder to read it. Rejects with `damaged` where a link, pipe, socket, device or folder lies there:
 * a link would show what was never stored, and a pipe would be waited for without end.
 */
export async function openPlainFile(path: string): Promise<FileHandle> {
  const kind = kindOf(await lstat(path));
  if (kind !== 'file') throw notPlain(path, kind);
  // What took its place since is neither followed nor waited for.
  const handle = await open(path, readOnly);
  const opened = kindOf(await handle.stat());
  if (opened === 'file') return handle;
  await handle.close();
  throw notPlain(path, opened);
}

/** All bytes of such a file, without a turn for anybody else; null where it is longer than `most` bytes, or no file, which `openPlainFile` tells. */
export function readSmallFile(path: string, most: number): Buffer | null {
  if (!lstatSync(path).isFile()) return null;
  const file = openSync(path, readOnly);
  try {
    const found = fstatSync(file);
    return found.isFile() && found.size <= most ? readFileSync(file) : null;
  } finally {
    closeSync(file);
  }
}

/** All bytes of a file of a run folder; see `openPlainFile`. */
export async function readPlainFile(path: string): Promise<Buffer> {
  const handle = await openPlainFile(path);
  try {
    const { size } = await handle.stat();
    if (size > mostBytes) {
      const found = `${(size / 2 ** 30).toFixed(1)} GiB`;
      throw new ArchiveError('damaged', `expected at most 2 GiB at ${path}, found ${found}`);
    }
    return await handle.readFile();
  } finally {
    await handle.close();
  }
}

/** As much as is read at once. */
const mostBytes = 2 ** 31 - 1;

const readOnly = constants.O_RDONLY | constants.O_NOFOLLOW | constants.O_NONBLOCK;

function notPlain(path: string, kind: EntryKind): ArchiveError {
  const text = `expected a file at ${path}, found a ${kind}: it is no part of a stored run and was not opened; remove it`;
  return new ArchiveError('damaged', text);
}
