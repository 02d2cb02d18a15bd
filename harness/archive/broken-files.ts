import { readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { HashFile } from './digest-cache.ts';
import {
  type Manifest,
  manifestFile,
  type StoredFile,
  sha256File,
  signoffsFolder,
} from './manifest.ts';

/** What a folder holds against its manifest. */
export type BrokenFile =
  | { readonly how: 'missing'; readonly file: string }
  | { readonly how: 'added'; readonly file: string }
  | { readonly how: 'altered'; readonly file: string; readonly detail: string }
  | { readonly how: 'renamed'; readonly file: string; readonly to: string };

/** Every file that is not as the manifest says; empty when the folder is whole. `hash` reads a file again unless given. */
export async function brokenFiles(
  folder: string,
  manifest: Manifest,
  hash: HashFile = sha256File,
): Promise<BrokenFile[]> {
  const expected = new Map(manifest.files.map((stored) => [stored.file, stored]));
  const found = await filesIn(folder);
  const broken: BrokenFile[] = [];
  const missing: StoredFile[] = [];
  for (const stored of manifest.files) {
    if (!found.has(stored.file)) missing.push(stored);
    else {
      const detail = await difference(join(folder, stored.file), stored, hash);
      if (detail) broken.push({ how: 'altered', file: stored.file, detail });
    }
  }
  const added = new Map<string, string[]>();
  for (const file of found) {
    if (expected.has(file)) continue;
    const found = await hash(join(folder, file));
    added.set(found, [...(added.get(found) ?? []), file]);
  }
  for (const stored of missing) {
    const to = added.get(stored.sha256)?.shift();
    broken.push(
      to === undefined
        ? { how: 'missing', file: stored.file }
        : { how: 'renamed', file: stored.file, to },
    );
  }
  for (const file of [...added.values()].flat()) broken.push({ how: 'added', file });
  return broken.sort((a, b) => (a.file < b.file ? -1 : 1));
}

async function difference(
  path: string,
  { bytes, sha256 }: StoredFile,
  hash: HashFile,
): Promise<string | null> {
  const { size } = await stat(path);
  if (size !== bytes) return `${size} bytes instead of ${bytes}`;
  const found = await hash(path);
  return found === sha256
    ? null
    : `sha256 ${found.slice(0, 12)}… instead of ${sha256.slice(0, 12)}…`;
}

/** Every file below the folder but the manifest and the sign-offs, which are checked by their signatures. */
export async function filesIn(folder: string): Promise<Set<string>> {
  const files = new Set<string>();
  const walk = async (below: string): Promise<void> => {
    for (const entry of await readdir(join(folder, below), { withFileTypes: true })) {
      const file = below === '' ? entry.name : `${below}/${entry.name}`;
      if (file === manifestFile || file === signoffsFolder) continue;
      if (entry.isDirectory()) await walk(file);
      else files.add(file);
    }
  };
  await walk('');
  return files;
}
