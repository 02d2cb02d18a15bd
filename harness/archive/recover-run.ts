import { lstat } from 'node:fs/promises';
import { join } from 'node:path';
import { conditionId } from '../record/ids.ts';
import type { ConditionRecord, RunRecord, SpecRecord } from '../record/run-record.ts';
import { totalsOf } from '../record/totals.ts';
import { rollUp, verdictOfRun } from '../verdict/verdict.ts';
import { type JournalEntry, readJournal } from './journal.ts';
import { type StoredFile, sha256File } from './manifest.ts';
import { kindOf } from './plain-file.ts';
import { readRecordFile } from './record-file.ts';
import { recordedEntries } from './recorded-entries.ts';

export interface RecoveredRun {
  /** `ended` is `unfinished`, whatever was on its way. */
  readonly record: RunRecord;
  /** `conditionId`s whose record and captures are sound: a resumed run need not repeat them. */
  readonly finished: ReadonlySet<string>;
  /** Files of the finished conditions. */
  readonly files: readonly StoredFile[];
  /** Where the sound part of the journal ends, bytes. */
  readonly journalEnd: number;
  /** What had to be left out, in words. */
  readonly dropped: readonly string[];
}

/**
 * The record of a run that was cut off, from its header and journal. A torn last line is left out, and so is a
 * condition whose capture is missing or changed (after a power cut the line may have outlived its data). With `hashed`
 * false, captures are held only against their lengths.
 */
export async function recoverRun(
  folder: string,
  { hashed = true }: { readonly hashed?: boolean } = {},
): Promise<RecoveredRun> {
  const header = await readRecordFile(folder);
  const journal = await readJournal(folder);
  const dropped: string[] = [];
  const sound: JournalEntry[] = [];
  const written = journal?.entries ?? [];
  for (const entry of [...written, ...(await recordedEntries(folder, header, written))]) {
    const harm = await firstHarm(folder, entry.files, hashed);
    if (harm === null) sound.push(entry);
    else dropped.push(`${entry.spec} ${entry.condition.key}: ${harm}`);
  }
  if (journal?.torn) dropped.push('the last line of the journal, which was cut off in mid-write');
  const record = rebuild(header, sound, dropped);
  const finished = record.specs.flatMap(({ spec, conditions }) =>
    conditions.map((condition) => conditionId(spec, condition)),
  );
  return {
    record,
    finished: new Set(finished),
    files: sound.flatMap((entry) => entry.files),
    journalEnd: journal?.end ?? 0,
    dropped,
  };
}

async function firstHarm(
  folder: string,
  files: readonly StoredFile[],
  hashed: boolean,
): Promise<string | null> {
  for (const { file, bytes, sha256 } of files) {
    const path = join(folder, file);
    const found = await lstat(path).catch(() => null);
    if (!found) return `${file} is missing`;
    if (!found.isFile()) return `${file} is a ${kindOf(found)}, not a file`;
    if (found.size !== bytes) return `${file} has ${found.size} bytes instead of ${bytes}`;
    if (hashed && (await sha256File(path)) !== sha256) return `${file} is not what was written`;
  }
  return null;
}

function rebuild(
  header: RunRecord,
  entries: readonly JournalEntry[],
  dropped: readonly string[],
): RunRecord {
  const specs = header.specs.map((spec) => withConditions(spec, entries));
  const known = specs.some((spec) => spec.conditions.length > 0);
  return {
    ...header,
    ended: 'unfinished',
    verdict: known ? verdictOfRun(specs) : header.verdict,
    totals: totalsOf(specs, wallTime(header, entries)),
    deviations: [
      ...header.deviations,
      {
        kind: 'unfinished',
        text: 'The run was cut off; this record was rebuilt from its journal.',
      },
      ...dropped.map((text) => ({ kind: 'left out', text })),
    ],
    specs,
  };
}

function withConditions(spec: SpecRecord, entries: readonly JournalEntry[]): SpecRecord {
  const stored = new Map<string, ConditionRecord>();
  for (const entry of entries) {
    if (entry.spec !== spec.spec) continue;
    stored.set(conditionId(entry.spec, entry.condition), entry.condition);
  }
  const conditions = [...stored.values()];
  if (conditions.length === 0) {
    return { ...spec, conditions, reason: spec.reason ?? 'the run was cut off before this claim' };
  }
  const verdict = rollUp(conditions.map((condition) => condition.verdict));
  return { ...spec, conditions, verdict };
}

/** From the start to the last thing known, s. */
function wallTime(header: RunRecord, entries: readonly JournalEntry[]): number {
  if (header.endedAt) return header.totals.wallTime;
  const last = entries.reduce(
    (latest, { condition }) => Math.max(latest, Date.parse(condition.startedAt)),
    Date.parse(header.startedAt),
  );
  return (last - Date.parse(header.startedAt)) / 1000;
}
