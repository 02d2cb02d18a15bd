import { lstat } from 'node:fs/promises';
import { join } from 'node:path';
import { conditionId } from '../record/ids.ts';
import { isStored } from '../record/kept-captures.ts';
import type { CaptureRecord, ConditionRecord, RunRecord } from '../record/run-record.ts';
import { sidecarName } from './capture-file.ts';
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

/** A capture and its sidecar; where one of them is not there, as files that nothing can be. */
async function storedCapture(
  folder: string,
  { file }: CaptureRecord,
): Promise<readonly StoredFile[]> {
  const npy = `captures/${file}`;
  const sidecar = `captures/${sidecarName(file)}`;
  const size = await lstat(join(folder, npy)).then(
    (found) => found.size,
    () => -1,
  );
  const bytes = await readPlainFile(join(folder, sidecar)).catch(() => null);
  return [
    { file: npy, bytes: size, sha256: bytes === null ? '' : promisedHash(bytes) },
    { file: sidecar, bytes: bytes?.length ?? -1, sha256: bytes === null ? '' : sha256(bytes) },
  ];
}

function promisedHash(sidecar: Buffer): string {
  try {
    return String((JSON.parse(sidecar.toString('utf8')) as { sha256?: unknown }).sha256);
  } catch {
    return '';
  }
}
