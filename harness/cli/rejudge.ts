import { rm } from 'node:fs/promises';
import { relative, resolve } from 'node:path';
import { brokenFiles } from '../archive/broken-files.ts';
import { readCapture } from '../archive/capture-file.ts';
import { findRunFolder } from '../archive/find-run-folder.ts';
import { readManifest } from '../archive/manifest.ts';
import { newRunId } from '../archive/new-run-id.ts';
import { readRun } from '../archive/read-run.ts';
import type { Plan } from '../plan/plan.ts';
import { conditionId } from '../record/condition-id.ts';
import type { ConditionRecord, RunRecord, SpecRecord } from '../record/run-record.ts';
import { totalsOf } from '../record/totals.ts';
import { renderSummary } from '../report/text/summary.ts';
import { rejudgeCondition } from '../run/rejudge-condition.ts';
import { specRecord, verdictOfRun } from '../run/spec-record.ts';
import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';
import { interruptionCode } from './interruption.ts';
import type { Io } from './io.ts';
import { type RejudgeInputs, readRejudgeInputs, refusedByRig } from './rejudge-inputs.ts';
import { exitCodeOf } from './run-exit-code.ts';
import { RunStore } from './run-store.ts';
import { harnessVersion } from './version.ts';

export interface RejudgeOptions {
  readonly reports: string;
  readonly specs?: readonly string[];
  readonly lamp?: string;
  readonly rig?: string;
  /** The archive that takes the new run; the one that the old run is in when absent. */
  readonly out?: string;
}

/**
 * Judges a stored run again, from its captures, against the specs as they are now. The outcome is a run of its own that
 * names the old one; the old one is not touched. Returns the exit code that the run would have had.
 */
export async function rejudge(name: string, options: RejudgeOptions, io: Io): Promise<number> {
  const source = await findRunFolder(resolve(io.cwd, options.reports), name);
  const stored = await readSealed(source);
  const inputs = readRejudgeInputs(stored, options, io);
  const started = performance.now();
  const draft = draftOf(stored, inputs);
  const store = new RunStore(resolve(io.cwd, options.out ?? options.reports));
  let sealed = false;
  try {
    await store.listen({ event: 'run-started', record: draft, conditions: 0, lampTime: 0 });
    const specs: SpecRecord[] = [];
    for (const [index, plan] of inputs.plans.entries()) {
      const old = inputs.specs[index]!;
      const conditions = await judgeAgain(plan, old, source, inputs, store, io);
      const unprovable = refusedByRig(old) ? (old.reason ?? undefined) : undefined;
      specs.push(specRecord(plan, conditions, inputs.lamp, unprovable));
    }
    const record: RunRecord = {
      ...draft,
      ended: stored.ended,
      endedAt: new Date().toISOString(),
      verdict: verdictOfRun(specs, inputs.plans, inputs.lamp),
      totals: totalsOf(specs, (performance.now() - started) / 1000),
      specs,
    };
    await store.listen({ event: 'run-ended', record });
    sealed = true;
    tell(record, store, io);
    return exitCodeOf(record, io);
  } finally {
    await store.close();
    // Half of it is of no use: it can be had again at any time.
    if (!sealed && store.path) await rm(store.path, { recursive: true, force: true });
  }
}

async function readSealed(source: string): Promise<RunRecord> {
  const { record, sealed } = await readRun(source);
  const manifest = await readManifest(source);
  if (!sealed || !manifest) {
    throw new Complaint(
      exitCodes.badFile,
      `run ${record.id} is not complete on the disk; go on with it first: evenfall run --resume ${record.id}`,
    );
  }
  const broken = await brokenFiles(source, manifest);
  if (broken.length === 0) return record;
  const files = broken.map(({ file, how }) => `${file} (${how})`).join(', ');
  throw new Complaint(
    exitCodes.badFile,
    `run ${record.id} is not as it was sealed: ${files}; nothing can be judged from it`,
  );
}

async function judgeAgain(
  plan: Plan,
  old: SpecRecord,
  source: string,
  inputs: RejudgeInputs,
  store: RunStore,
  io: Io,
): Promise<ConditionRecord[]> {
  const judged: ConditionRecord[] = [];
  for (const before of old.conditions) {
    if (io.interrupted.aborted) throw interrupted(io);
    const captures = [];
    for (const capture of before.captures) {
      const { codes } = await readCapture(source, capture.file);
      await store.keepCapture(capture, codes, true);
      captures.push(codes);
    }
    const condition = plan.conditions.find(({ key }) => key === before.key);
    if (!condition) throw new Error(`no condition ${conditionId(plan.spec, before)}`);
    const after = rejudgeCondition(before, condition, captures, inputs);
    await store.keepCondition(plan.spec, after);
    judged.push(after);
  }
  return judged;
}

/** The old record as the beginning of the new one: what was run is what it was, what is judged is new. */
function draftOf(stored: RunRecord, inputs: RejudgeInputs): RunRecord {
  const { changed, left } = inputs;
  const what = changed.length > 0 ? `changed since: ${changed.join(', ')}` : 'unchanged since';
  const texts = [
    `judged again by Evenfall ${harnessVersion} from the captures of run ${stored.id} of ${stored.startedAt}, made by Evenfall ${stored.harness.version}; specs ${what}`,
    ...(left.length > 0 ? [`not judged again, and left out: ${left.join(', ')}`] : []),
  ];
  return {
    ...stored,
    id: newRunId(),
    ended: 'unfinished',
    startedAt: new Date().toISOString(),
    endedAt: null,
    harness: { version: harnessVersion, node: process.versions.node, commit: null },
    deviations: [...stored.deviations, ...texts.map((text) => ({ kind: 'judged again', text }))],
    follows: [{ id: stored.id, how: 'rejudges' }],
    specs: inputs.plans.map((plan) => ({
      ...specRecord(plan, [], inputs.lamp),
      verdict: 'not run',
      reason: 'not judged again yet',
    })),
  };
}

function tell(record: RunRecord, store: RunStore, io: Io): void {
  io.stdout(renderSummary(record, { colour: io.colour, columns: io.columns }));
  const folder = relative(io.cwd, store.path ?? '') || store.path;
  io.stdout(`Stored in ${folder}\nPage      ${folder}/index.html\n`);
}

function interrupted(io: Io): Complaint {
  const sentence = 'ended before all was judged again; nothing was stored';
  return new Complaint(interruptionCode(io), sentence);
}
