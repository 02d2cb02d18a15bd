import { readCapture } from '../../archive/capture-file.ts';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { readRun } from '../../archive/read-run.ts';
import { type RunFolder, resumeRunFolder } from '../../archive/run-folder.ts';
import { isBeingWritten } from '../../archive/writer-mark.ts';
import { benchBrokenText } from '../../record/bench-after.ts';
import { claimCondition } from '../../record/condition-words.ts';
import { conditionId } from '../../record/ids.ts';
import { isStored } from '../../record/kept-captures.ts';
import type { ConditionRecord, RunRecord } from '../../record/run-record.ts';
import { Complaint } from '../complaint.ts';
import type { RunStore } from './run-store.ts';

/** An earlier run to resume: what of it stands, and where. */
export interface ResumedRun {
  readonly record: RunRecord;
  readonly source: string;
  /**
   * The folder to write on, where the run was cut off; null where a new run follows it, since it was sealed (Ctrl-C), or has
   * errors whose records must not be written over.
   */
  readonly folder: RunFolder | null;
  readonly done: ReadonlyMap<string, ConditionRecord>;
  /** What ended in an error there and is run again, in words. */
  readonly errors: readonly string[];
}

/**
 * Finds the run and the conditions of it that need not be repeated. The new run must be about the same things (specs, lamp, rig,
 * firmware, seed, faults, build, serial number, what the lamp says of itself, instruments, their calibration, operator): a
 * Complaint says what differs.
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
  mustBeProved(stored.record);
  const errors = errorsIn(stored.record);
  if (!stored.sealed && errors.length === 0) {
    const { folder, record } = await resumeRunFolder(source);
    return { record, source, folder, done: finishedConditions(record), errors };
  }
  if (!stored.sealed) await mustBeLeft(source);
  else if (isDone(stored.record) && errors.length === 0)
    throw new Complaint('usage', `run ${stored.record.id} is complete: there is nothing to resume`);
  return {
    record: stored.record,
    source,
    folder: null,
    done: finishedConditions(stored.record),
    errors,
  };
}

/** All is measured, and the bench was looked at after it where its rig file asks for that. */
function isDone({ ended, rig }: RunRecord): boolean {
  return ended === 'complete' && rig.after?.state !== 'failed';
}

/** What was measured on a bench that was not good at the end cannot be kept. */
function mustBeProved(record: RunRecord): void {
  if (record.rig.after?.state !== 'broken') return;
  throw new Complaint(
    'usage',
    `cannot resume run ${record.id}: ${benchBrokenText(record)}. Mend the bench and start a new run`,
  );
}

/** A run that somebody still writes to has no end yet to go on from. */
async function mustBeLeft(source: string): Promise<void> {
  if (!(await isBeingWritten(source))) return;
  throw new Complaint('locked', `the run in ${source} is still being written; wait for its end`);
}

/** Of the run before, these stay told. */
const kept: ReadonlySet<string> = new Set(['bench error', 'earlier attempt', 'taken over']);

/** The draft as the next part of the earlier run; what went wrong there stays told. */
export function resumedDraft(
  draft: RunRecord,
  { record, folder, done, errors }: ResumedRun,
): RunRecord {
  const earlier = [
    ...record.deviations.filter(({ kind }) => kept.has(kind)),
    ...errors.map((text) => ({ kind: 'earlier attempt', text: `${text} (run ${record.id})` })),
  ];
  const again = errors.length === 0 ? '' : `, ran ${errors.length} again after bench errors`;
  const text = `resumed run ${record.id} of ${record.startedAt}: kept ${done.size} of its conditions${again}`;
  const deviations = [...draft.deviations, ...earlier, { kind: 'resumed', text }];
  const readBefore = [...(record.rig.readBefore ?? []), ...(draft.rig.readBefore ?? [])];
  const rig = { ...draft.rig, ...(readBefore.length > 0 && { readBefore }) };
  const next = { ...draft, rig, ...(record.earlier && { earlier: record.earlier }), deviations };
  if (folder) return { ...next, id: record.id, startedAt: record.startedAt };
  return { ...next, follows: [{ id: record.id, how: 'resumes' }] };
}

/** Brings the finished conditions into the store: copied from a sealed run, or only shown to the reports where they are stored already. */
export async function keepConditions(resumed: ResumedRun, store: RunStore): Promise<void> {
  for (const [id, condition] of resumed.done) {
    const spec = id.split('\t')[0] ?? '';
    for (const capture of condition.captures.filter(isStored)) {
      const { codes } = await readCapture(resumed.source, capture.file);
      if (resumed.folder === null) await store.saveCapture(capture, codes);
      else store.addStoredCapture(capture, codes);
    }
    if (resumed.folder === null) await store.saveCondition(spec, condition);
  }
}

/** All that need not be repeated: a bench error is worth another try. */
function finishedConditions(record: RunRecord): Map<string, ConditionRecord> {
  const finished = record.specs.flatMap(({ spec, conditions }) =>
    conditions
      .filter(({ verdict, attempts }) => verdict !== 'not run' || attempts > 0)
      .filter(({ verdict }) => verdict !== 'error')
      .map((condition) => [conditionId(spec, condition), condition] as const),
  );
  return new Map(finished);
}

/** Conditions that ended in an error, each with its reason. */
function errorsIn({ specs }: RunRecord): string[] {
  return specs.flatMap(({ spec, conditions }) =>
    conditions
      .filter(({ verdict }) => verdict === 'error')
      .map(({ key, reason }) => `${claimCondition(spec, key)}: ${reason ?? 'bench error'}`),
  );
}

/** What makes it another run, in words; null where it is the same. */
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
  if (specs.length > 0) return `the specs have changed since (${specs.join(', ')})`;
  return firstDifference(factsOf(before), factsOf(now));
}

/** What a run is about besides its files, each under the name that a message uses. */
function factsOf({ lamp, rig, operator, decision }: RunRecord): ReadonlyMap<string, string> {
  const { again } = decision;
  const facts = new Map([
    ['number of --until-decided', again === undefined ? 'none; omit the option' : `${again}`],
    ['build of the lamp', lamp.build],
    ['serial number of the lamp', lamp.serial],
    ['operator', operator ?? 'nobody named; --operator NAME says who it is'],
  ]);
  for (const { link, maker, model, serial, firmware } of lamp.says ?? [])
    facts.set(`lamp on the link ${link}`, [maker, model, serial, firmware].join(' '));
  for (const { name, simulated, identity, calibration } of rig.instruments) {
    const { maker, model, serial } = identity;
    // A simulated instrument is as old as the program.
    if (!simulated) facts.set(`instrument ${name}`, [maker, model, serial].join(' '));
    const { certificate, date, due } = calibration ?? {};
    const words = calibration ? `${certificate} of ${date}, due ${due}` : 'none';
    facts.set(`calibration of ${name}`, words);
  }
  return facts;
}

function firstDifference(
  before: ReadonlyMap<string, string>,
  now: ReadonlyMap<string, string>,
): string | null {
  for (const name of new Set([...before.keys(), ...now.keys()])) {
    const [was = 'not known', is = 'not known'] = [before.get(name), now.get(name)];
    if (was !== is) return `the ${name} is ${is} (it was ${was})`;
  }
  return null;
}

/** Ids of specs that one of the runs does not have, or whose files differ. */
function changedSpecs(before: RunRecord, now: RunRecord): string[] {
  const lines = ({ specs }: RunRecord) =>
    new Map(specs.map(({ spec, digest }) => [`${spec} ${digest}`, spec]));
  const [old, fresh] = [lines(before), lines(now)];
  const changed = [...old, ...fresh].filter(([line]) => !old.has(line) || !fresh.has(line));
  return [...new Set(changed.map(([, spec]) => spec))];
}
