import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { readRecordFile, readSlimRecord, recordFile } from '../../archive/record-file.ts';
import { withoutCurves } from '../../record/curves.ts';
import type { RunRecord } from '../../record/run-record.ts';

/** Records by their folders, each as long as its file does not change; a map is in the order of insertion. */
class RecordCache {
  readonly #most: number;
  readonly #readFile: (folder: string) => Promise<RunRecord>;
  readonly #known = new Map<string, { readonly mark: string; readonly record: RunRecord }>();

  /** `most` records, as `readFile` reads them. */
  constructor(most: number, readFile: (folder: string) => Promise<RunRecord>) {
    this.#most = most;
    this.#readFile = readFile;
  }

  async read(folder: string, now: number): Promise<RunRecord> {
    const mark = await markOf(folder, now);
    const known = this.#known.get(folder);
    this.#known.delete(folder);
    if (known && known.mark === mark) {
      this.#known.set(folder, known);
      return known.record;
    }
    const record = await this.#readFile(folder);
    // A file that is changed while it is read, or just was, is read again next time.
    if (mark !== null && mark === (await markOf(folder, now)))
      this.#known.set(folder, { mark, record });
    for (const oldest of [...this.#known.keys()].slice(0, -this.#most)) this.#known.delete(oldest);
    return record;
  }
}

/** A record of a full run takes some hundred megabytes of memory, and a second to read. */
const whole = new RecordCache(3, readRecordFile);
/** Without its charts it takes one or two. */
const slim = new RecordCache(100, async (folder) => withoutCurves(await readSlimRecord(folder)));

/** The record of a sealed run; cached as long as its file does not change. */
export function sealedRecord(folder: string, now = Date.now()): Promise<RunRecord> {
  return whole.read(folder, now);
}

/** The same without charts and commanded light, for pages over many runs. */
export function slimRecord(folder: string, now = Date.now()): Promise<RunRecord> {
  return slim.read(folder, now);
}

/** Null where the file is missing, or too young for its times to tell every change apart. */
async function markOf(folder: string, now: number): Promise<string | null> {
  const found = await stat(join(folder, recordFile), { bigint: true }).catch(() => null);
  if (!found || now - Number(found.ctimeMs) < 2000) return null;
  const { dev, ino, size, mtimeNs, ctimeNs } = found;
  return [dev, ino, size, mtimeNs, ctimeNs].join();
}
