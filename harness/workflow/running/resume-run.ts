import { readCapture } from '../../archive/capture-file.ts';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { readRun } from '../../archive/read-run.ts';
import { type RunFolder, resumeRunFolder } from '../../archive/run-folder.ts';
import { conditionId } from '../../record/ids.ts';
import type { ConditionRecord, RunRecord } from '../../record/run-record.ts';
import { Complaint } from '../complaint.ts';
import type { RunStore } from './run-store.ts';

/** An earlier run to resume: what of it stands, and where. */
export interface ResumedRun {
  readonly record: RunRecord;
  readonly source: string;
  /** The folder to write on, where the run was cut off; null where it was sealed (Ctrl-C) and a new run follows it. */
  readonly folder: RunFolder | null;
  readonly done: ReadonlyMap<string, ConditionRecord>;
}

/**
 * Finds the run and the conditions of it that need not be repeated. The new run must be about the same things (specs,
 * lamp, rig, firmware, seed, faults): a Complaint says what differs.
 */
export async function findResumedRun(
  root: string,
  run: string,
  draft: RunRecord,
): Promise<ResumedRun> {
  const source = await findRunFolder(root, run);
  const stored = await readRun(source);
  const change = firstChange(stored.record, draft);
  if (change) {
    throw new Complaint(
      'usage',
      `cannot resume run ${stored.record.id}: ${change}. Start a new run, or resume with what the run had`,
    );
  }
  if (!stored.sealed) {
    const { folder, record } = await resumeRunFolder(source);
    return { record, source, folder, done: finishedConditions(record, 'kept') };
  }
  if (stored.record.ended === 'complete') {
    throw new Complaint('usage', `run ${stored.record.id} is complete: there is nothing to resume`);
  }
  const done = finishedConditions(stored.record, 'tried again');
  return { record: stored.record, source, folder: null, done };
}

/** The draft as the next part of the earlier run. */
export function resumedDraft(draft: RunRecord, { record, folder, done }: ResumedRun): RunRecord {
  const text = `resumed run ${record.id} of ${record.startedAt}: kept ${done.size} of its conditions`;
  const deviations = [...draft.deviations, { kind: 'resumed', text }];
  if (folder) return { ...draft, id: record.id, startedAt: record.startedAt, deviations };
  return { ...draft, deviations, follows: [{ id: record.id, how: 'resumes' }] };
}

/** Brings the finished conditions into the store: copied from a sealed run, or only shown to the reports where they are stored already. */
export async function keepConditions(resumed: ResumedRun, store: RunStore): Promise<void> {
  for (const [id, condition] of resumed.done) {
    const spec = id.split('\t')[0] ?? '';
    for (const capture of condition.captures) {
      const { codes } = await readCapture(resumed.source, capture.file);
      if (resumed.folder === null) await store.saveCapture(capture, codes);
      else store.addStoredCapture(capture, codes);
    }
    if (resumed.folder === null) await store.saveCondition(spec, condition);
  }
}

/** A bench error is worth another try; but a folder that is written on has its captures already. */
function finishedConditions(
  record: RunRecord,
  errors: 'kept' | 'tried again',
): Map<string, ConditionRecord> {
  const finished = record.specs.flatMap(({ spec, conditions }) =>
    conditions
      .filter(({ verdict, attempts }) => verdict !== 'not run' || attempts > 0)
      .filter(({ verdict }) => errors === 'kept' || verdict !== 'error')
      .map((condition) => [conditionId(spec, condition), condition] as const),
  );
  return new Map(finished);
}

function firstChange(before: RunRecord, now: RunRecord): string | null {
  if (before.lamp.digest !== now.lamp.digest)
    return `the lamp file has changed since (${before.lamp.file})`;
  if (before.rig.digest !== now.rig.digest)
    return `the rig file has changed since (${before.rig.file})`;
  if (before.lamp.firmware.digest !== now.lamp.firmware.digest)
    return `the firmware is another build (it was ${before.lamp.firmware.name})`;
  if (before.seed !== now.seed) return `the seed is ${now.seed} (it was ${before.seed})`;
  if (JSON.stringify(before.faults) !== JSON.stringify(now.faults))
    return 'the seeded faults are others';
  const specs = changedSpecs(before, now);
  return specs.length === 0 ? null : `the specs have changed since (${specs.join(', ')})`;
}

/** Ids of specs that one of the runs does not have, or whose files differ. */
function changedSpecs(before: RunRecord, now: RunRecord): string[] {
  const lines = ({ specs }: RunRecord) =>
    new Map(specs.map(({ spec, digest }) => [`${spec} ${digest}`, spec]));
  const [old, fresh] = [lines(before), lines(now)];
  const changed = [...old, ...fresh].filter(([line]) => !old.has(line) || !fresh.has(line));
  return [...new Set(changed.map(([, spec]) => spec))];
}
