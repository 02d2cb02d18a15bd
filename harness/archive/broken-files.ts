import { lstatSync } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { fileSystemError } from './archive-error.ts';
import type { HashFile } from './digest-cache.ts';
import {
  type Manifest,
  manifestFile,
  type StoredFile,
  sha256File,
  signoffsFolder,
} from './manifest.ts';
import { type EntryKind, kindOf } from './plain-file.ts';

/** What a folder holds against its manifest. */
export type BrokenFile =
  | { readonly how: 'missing'; readonly file: string }
  | { readonly how: 'added'; readonly file: string }
  | { readonly how: 'altered'; readonly file: string; readonly detail: string }
  | { readonly how: 'renamed'; readonly file: string; readonly to: string }
  | { readonly how: 'foreign'; readonly file: string; readonly kind: ForeignKind };

/** What no run folder contains. It is named, and neither followed nor opened. */
type ForeignKind = Exclude<EntryKind, 'file' | 'folder'> | 'empty folder' | 'name that is no UTF-8';

/** What happened to it, in a word or two. */
export function harmWord(broken: BrokenFile): string {
  return broken.how === 'foreign' ? broken.kind : broken.how;
}

/** Every file that is not as the manifest says; empty when the folder is whole. `hash` reads a file again unless given. */
export async function brokenFiles(
  folder: string,
  manifest: Manifest,
  hash: HashFile = sha256File,
): Promise<BrokenFile[]> {
  const expected = new Map(manifest.files.map((stored) => [stored.file, stored]));
  const { files: found, foreign } = await entriesOf(folder);
  const broken: BrokenFile[] = [];
  const missing: StoredFile[] = [];
  for (const [k, stored] of manifest.files.entries()) {
    if (k % filesAtOnce === filesAtOnce - 1) await setImmediate();
    if (foreign.has(stored.file)) continue;
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
  for (const [file, kind] of foreign) broken.push({ how: 'foreign', file, kind });
  return broken.sort((a, b) => (a.file < b.file ? -1 : 1));
}

/** Small files are read without a turn for anybody else; so many take about a hundredth of a second. */
const filesAtOnce = 64;

async function difference(
  path: string,
  { bytes, sha256 }: StoredFile,
  hash: HashFile,
): Promise<string | null> {
  const { size } = lstatSync(path);
  if (size !== bytes) return `${size} bytes instead of ${bytes}`;
  const found = await hash(path);
  return found === sha256
    ? null
    : `sha256 ${found.slice(0, 12)}… instead of ${sha256.slice(0, 12)}…`;
}

/** What lies below a run folder, but the manifest and the sign-offs, which are checked by their signatures. */
export interface FolderEntries {
  readonly files: ReadonlySet<string>;
  readonly foreign: ReadonlyMap<string, ForeignKind>;
}

/** A run has them even where it stored nothing there. */
const mayBeEmpty: ReadonlySet<string> = new Set(['captures', 'pieces']);

/** Looks at every entry below a run folder, and opens none but folders. */
export async function entriesOf(folder: string): Promise<FolderEntries> {
  const files = new Set<string>();
  const foreign = new Map<string, ForeignKind>();
  const walk = async (below: string): Promise<void> => {
    const entries = await readdir(join(folder, below), { withFileTypes: true });
    if (entries.length === 0 && below !== '' && !mayBeEmpty.has(below))
      foreign.set(below, 'empty folder');
    for (const entry of entries) {
      const file = below === '' ? entry.name : `${below}/${entry.name}`;
      if (file === manifestFile || file === signoffsFolder) continue;
      // What is no UTF-8 comes with marks in its place, and is found under no name.
      const kind = entry.name.includes('\ufffd') ? 'name that is no UTF-8' : kindOf(entry);
      if (kind === 'file') files.add(file);
      else if (kind === 'folder') await walk(file);
      else foreign.set(file, kind);
    }
  };
  try {
    await walk('');
  } catch (error) {
    throw fileSystemError(error, `looking through ${folder}`);
  }
  return { files, foreign };
}
