import { join } from 'node:path';
import { contentOfCapture } from '../../archive/capture-content.ts';
import { checkSeal } from '../../archive/check-seal.ts';
import { manifestFile, readManifest } from '../../archive/manifest.ts';
import { readPlainFile } from '../../archive/plain-file.ts';
import { readRecordFile } from '../../archive/record-file.ts';
import type { FileStore } from '../files/file-store.ts';
import { Refusal } from '../refusal.ts';
import type { ShardRow, SubmissionRow } from '../submissions/rows.ts';

const captures = 'captures/';

/**
 * Whether all that the shards of a submission brought is in the archive: the merged run is there as it was sealed, byte by byte; it was made
 * from the very runs of these shards; and it has what each of their captures says.
 */
export async function isProven(
  { files, archive }: { readonly files: FileStore; readonly archive: string },
  { folder, run }: Pick<SubmissionRow, 'folder' | 'run'>,
  shards: readonly ShardRow[],
): Promise<boolean> {
  if (folder === null || run === null) return false;
  const path = join(archive, folder);
  if ((await checkSeal(path)).state !== 'sealed') return false;
  const record = await readRecordFile(path);
  if (record.id !== run) return false;
  const merged = new Map((record.shards ?? []).map(({ number, manifest }) => [number, manifest]));
  const isOf = ({ number, files: own }: ShardRow): boolean =>
    own?.find(({ file }) => file === manifestFile)?.digest === (merged.get(number) ?? 'none');
  if (!shards.every(isOf)) return false;
  const kept = await contentsIn(path);
  for (const { digest } of shards.flatMap((shard) => capturesOf(shard))) {
    const content = await contentOf(files, digest);
    if (content !== null && !kept.has(content)) return false;
  }
  return true;
}

function capturesOf({ files }: ShardRow): NonNullable<ShardRow['files']> {
  return (files ?? []).filter(({ file }) => file.startsWith(captures));
}

async function contentsIn(path: string): Promise<ReadonlySet<string>> {
  const manifest = await readManifest(path);
  const kept = new Set<string>();
  for (const { file } of manifest?.files ?? [])
    if (file.startsWith(captures))
      kept.add(contentOfCapture(await readPlainFile(join(path, file))));
  return kept;
}

/** Null where the store does not have it: there is nothing to lose. */
async function contentOf(files: FileStore, digest: string): Promise<string | null> {
  try {
    return contentOfCapture(await files.read(digest));
  } catch (error) {
    if (error instanceof Refusal && error.kind === 'not-found') return null;
    throw error;
  }
}
