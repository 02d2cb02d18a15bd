import { join } from 'node:path';
import { type BrokenFile, brokenFiles } from './broken-files.ts';
import type { HashFile } from './digest-cache.ts';
import { type Manifest, readManifest, sha256File } from './manifest.ts';
import { recordFile } from './record-file.ts';

/** One thing that is not as it was stored or signed. */
export interface Problem {
  /** Path inside the run's folder. */
  readonly file: string;
  readonly text: string;
}

export interface CheckedSeal {
  readonly state: 'sealed' | 'not sealed' | 'altered';
  readonly problems: readonly Problem[];
}

/**
 * Whether a run is as it was sealed, byte by byte: for everything that shows one, whoever signed it. `hash` reads a file
 * again unless given.
 */
export async function checkSeal(folder: string, hash?: HashFile): Promise<CheckedSeal> {
  const manifest = await readManifest(folder);
  if (!manifest) return { state: 'not sealed', problems: [] };
  return stateOf(await fileProblems(folder, manifest, hash));
}

/** The same at a glance, for a list of runs. */
export async function glanceAtSeal(folder: string, hash?: HashFile): Promise<CheckedSeal> {
  const manifest = await readManifest(folder);
  if (!manifest) return { state: 'not sealed', problems: [] };
  return stateOf(await fileProblems(folder, manifest, glancing(folder, manifest, hash)));
}

/**
 * Reads every byte of the record, which all that a list shows comes from, and takes the other files for what they were where
 * they are there and as long. What somebody changed in a capture and left as long shows where the run itself is shown.
 */
export function glancing(
  folder: string,
  manifest: Manifest,
  hash: HashFile = sha256File,
): HashFile {
  const promised = new Map(manifest.files.map(({ file, sha256 }) => [join(folder, file), sha256]));
  promised.delete(join(folder, recordFile));
  return async (path) => promised.get(path) ?? hash(path);
}

function stateOf(problems: readonly Problem[]): CheckedSeal {
  return { state: problems.length > 0 ? 'altered' : 'sealed', problems };
}

/** Every file that is not as the manifest says, in words. */
export async function fileProblems(
  folder: string,
  manifest: Manifest,
  hash?: HashFile,
): Promise<Problem[]> {
  const broken = await brokenFiles(folder, manifest, hash);
  return broken.map((found) => ({ file: found.file, text: harmText(found) }));
}

function harmText(found: BrokenFile): string {
  if (found.how === 'missing') return 'is missing';
  if (found.how === 'added') return 'was added after the run was sealed';
  if (found.how === 'foreign')
    return `is ${found.kind === 'empty folder' ? 'an' : 'a'} ${found.kind}, which no run contains; remove it`;
  return found.how === 'renamed'
    ? `was renamed to ${found.to}`
    : `was altered: it has ${found.detail}`;
}
