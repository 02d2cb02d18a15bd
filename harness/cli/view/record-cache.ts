import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { readRecordFile, recordFile } from '../../archive/record-file.ts';
import type { RunRecord } from '../../record/run-record.ts';

/** A record of a full run takes some hundred megabytes of memory, and a second to read. */
const mostCached = 3;
/** An LRU cache: a map is in the order of insertion. */
const cache = new Map<string, { readonly mark: string; readonly record: RunRecord }>();

/** The record of a sealed run; cached as long as its file does not change. */
export async function sealedRecord(folder: string, now = Date.now()): Promise<RunRecord> {
  const mark = await markOf(folder, now);
  const known = cache.get(folder);
  cache.delete(folder);
  const record = known?.mark === mark ? known.record : await readRecordFile(folder);
  // A file that is changed while it is read, or just was, is read again next time.
  if (mark !== null && mark === (await markOf(folder, now))) cache.set(folder, { mark, record });
  for (const oldest of [...cache.keys()].slice(0, -mostCached)) cache.delete(oldest);
  return record;
}

/** Null where the file is missing, or too young for its times to tell every change apart. */
async function markOf(folder: string, now: number): Promise<string | null> {
  const found = await stat(join(folder, recordFile), { bigint: true }).catch(() => null);
  if (!found || now - Number(found.ctimeMs) < 2000) return null;
  const { dev, ino, size, mtimeNs, ctimeNs } = found;
  return [dev, ino, size, mtimeNs, ctimeNs].join();
}
