import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { readRecordFile, recordFile } from '../../archive/record-file.ts';
import type { RunRecord } from '../../record/run-record.ts';

/** Records by their folders, each as long as its file does not change; a map is in the order of insertion. */
class RecordCache {
  readonly #most: number;
  readonly #keep: (record: RunRecord) => RunRecord;
  readonly #known = new Map<string, { readonly mark: string; readonly record: RunRecord }>();

  /** `most` records, or what `keep` leaves of each. */
  constructor(most: number, keep: (record: RunRecord) => RunRecord) {
    this.#most = most;
    this.#keep = keep;
  }

  async read(folder: string, now: number): Promise<RunRecord> {
    const mark = await markOf(folder, now);
    const known = this.#known.get(folder);
    this.#known.delete(folder);
    if (known && known.mark === mark) {
      this.#known.set(folder, known);
      return known.record;
    }
    const record = this.#keep(await readRecordFile(folder));
    // A file that is changed while it is read, or just was, is read again next time.
    if (mark !== null && mark === (await markOf(folder, now)))
      this.#known.set(folder, { mark, record });
    for (const oldest of [...this.#known.keys()].slice(0, -this.#most)) this.#known.delete(oldest);
    return record;
  }
}

/** A record of a full run takes some hundred megabytes of memory, and a second to read. */
const whole = new RecordCache(3, (record) => record);
/** Without its charts it takes one or two. */
const slim = new RecordCache(100, withoutCharts);

/** The record of a sealed run; cached as long as its file does not change. */
export function sealedRecord(folder: string, now = Date.now()): Promise<RunRecord> {
  return whole.read(folder, now);
}

/** The same without charts and commanded light, for pages over many runs. */
export function slimRecord(folder: string, now = Date.now()): Promise<RunRecord> {
  return slim.read(folder, now);
}

function withoutCharts(record: RunRecord): RunRecord {
  const specs = record.specs.map((spec) => ({
    ...spec,
    conditions: spec.conditions.map(({ commanded: _commanded, ...condition }) => ({
      ...condition,
      findings: condition.findings.map((finding) => ({
        ...finding,
        evidence: { charts: [], notes: finding.evidence.notes },
      })),
    })),
  }));
  return { ...record, specs };
}

/** Null where the file is missing, or too young for its times to tell every change apart. */
async function markOf(folder: string, now: number): Promise<string | null> {
  const found = await stat(join(folder, recordFile), { bigint: true }).catch(() => null);
  if (!found || now - Number(found.ctimeMs) < 2000) return null;
  const { dev, ino, size, mtimeNs, ctimeNs } = found;
  return [dev, ino, size, mtimeNs, ctimeNs].join();
}
