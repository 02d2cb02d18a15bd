import { lstat, readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { isRunFolderName } from './folder-name.ts';
import { partSuffix } from './write-file-whole.ts';

/** Where a run's folder is while it is not whole yet, or no more: beside its place, under a name that no list shows. */
export function asideFolder(root: string, name: string): string {
  return join(root, `.${name}${partSuffix}`);
}

/** Making or removing a folder takes less than this, ms: what is older was left behind by a process that was killed. */
const longest = 10 * 60_000;

/** Removes what killed processes left aside; what cannot be removed stays until the next time. */
export async function removeLeftovers(root: string): Promise<void> {
  const names = await readdir(root).catch(() => []);
  for (const name of names) {
    if (!name.startsWith('.') || !name.endsWith(partSuffix)) continue;
    if (!isRunFolderName(name.slice(1))) continue;
    const path = join(root, name);
    const found = await lstat(path).catch(() => null);
    if (found?.isDirectory() && Date.now() - found.mtimeMs > longest)
      await rm(path, { recursive: true, force: true }).catch(() => {});
  }
}
