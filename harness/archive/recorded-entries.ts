import { lstat } from 'node:fs/promises';
import { join } from 'node:path';
import { conditionId } from '../record/ids.ts';
import { isStored } from '../record/kept-captures.ts';
import type { CaptureRecord, ConditionRecord, RunRecord } from '../record/run-record.ts';
import { ArchiveError } from './archive-error.ts';
import { filesOfCapture, unpackCapture } from './capture-file.ts';
import type { JournalEntry } from './journal.ts';
import { type StoredFile, sha256 } from './manifest.ts';
import { readPlainFile } from './plain-file.ts';

/**
 * Conditions that the record holds and the journal does not, as the journal would tell them: a run that was killed while
 * it was being sealed has its final record, and may have no journal any more. What each capture has to be says its
 * sidecar.
 */
export async function recordedEntries(
  folder: string,
  record: RunRecord,
  journal: readonly JournalEntry[],
): Promise<readonly JournalEntry[]> {
  const told = new Set(journal.map(({ spec, condition }) => conditionId(spec, condition)));
  const entries: JournalEntry[] = [];
  for (const { spec, conditions } of record.specs) {
    for (const condition of conditions) {
      if (told.has(conditionId(spec, condition))) continue;
      entries.push({ spec, condition, files: await filesOf(folder, condition) });
    }
  }
  return entries;
}

async function filesOf(
  folder: string,
  { captures }: ConditionRecord,
): Promise<readonly StoredFile[]> {
  const pairs = await Promise.all(
    captures.filter(isStored).map((capture) => storedCapture(folder, capture)),
  );
  return pairs.flat();
}

/** A capture and its sidecar, if it has one; where they are not there, or not whole, as files that nothing can be. */
async function storedCapture(
  folder: string,
  { file }: CaptureRecord,
): Promise<readonly StoredFile[]> {
  const [codes = file, sidecar] = filesOfCapture(file);
  if (sidecar === undefined) return [await packedCapture(folder, codes)];
  const size = await lstat(join(folder, codes)).then(
    (found) => found.size,
    () => -1,
  );
  const bytes = await readPlainFile(join(folder, sidecar)).catch(() => null);
  return [
    { file: codes, bytes: size, sha256: bytes === null ? '' : promisedHash(bytes) },
    { file: sidecar, bytes: bytes?.length ?? -1, sha256: bytes === null ? '' : sha256(bytes) },
  ];
}

/** What it has to be says itself: each of its parts ends in a check of all that it holds. */
async function packedCapture(folder: string, file: string): Promise<StoredFile> {
  const path = join(folder, file);
  const bytes = await readPlainFile(path).catch(() => null);
  if (bytes === null) return { file, bytes: -1, sha256: '' };
  try {
    unpackCapture(bytes, path);
    return { file, bytes: bytes.length, sha256: sha256(bytes) };
  } catch (error) {
    if (!(error instanceof ArchiveError)) throw error;
    return { file, bytes: bytes.length, sha256: '' };
  }
}

function promisedHash(sidecar: Buffer): string {
  try {
    return String((JSON.parse(sidecar.toString('utf8')) as { sha256?: unknown }).sha256);
  } catch {
    return '';
  }
}
