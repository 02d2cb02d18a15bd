import { lstatSync, readlinkSync, symlinkSync, unlinkSync } from 'node:fs';

/**
 * Lays a symbolic link to a terminal, in place of an older link; anything else at `path` is left alone, and an Error
 * tells of it. Returns what takes the link away again, if it is still this one.
 */
export function linkTerminal(terminal: string, path: string): () => void {
  const old = lstatSync(path, { throwIfNoEntry: false });
  if (old && !old.isSymbolicLink())
    throw new Error(`${path} exists and is no link; it is left alone`);
  if (old) unlinkSync(path);
  symlinkSync(terminal, path);
  return () => {
    const present = lstatSync(path, { throwIfNoEntry: false });
    if (present?.isSymbolicLink() && readlinkSync(path) === terminal) unlinkSync(path);
  };
}
