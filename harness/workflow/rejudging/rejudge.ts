import { rm } from 'node:fs/promises';
import { resolve } from 'node:path';
import { brokenFiles, harmWord } from '../../archive/broken-files.ts';
import { readCapture } from '../../archive/capture-file.ts';
import type { Codes } from '../../archive/code-residuals.ts';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { readManifest } from '../../archive/manifest.ts';
import { newRunId } from '../../archive/new-run-id.ts';
import { readRun } from '../../archive/read-run.ts';
import type { Plan } from '../../plan/plan.ts';
import { verdictWithBench } from '../../record/bench-after.ts';
import { conditionId } from '../../record/ids.ts';
import { leftAwayText } from '../../record/kept-captures.ts';
import {
  type ConditionRecord,
  type RunRecord,
  recordVersion,
  type SpecRecord,
} from '../../record/run-record.ts';
import { totalsOf } from '../../record/totals.ts';
import { specRecord } from '../../run/engine/spec-record.ts';
import { rejudgeCondition } from '../../run/judge/rejudge-condition.ts';
import { looksOf } from '../../run/judge/repeated-condition.ts';
import type { Looks } from '../../verdict/looks.ts';
import { verdictOfRun } from '../../verdict/verdict.ts';
import { Complaint } from '../complaint.ts';
import { type RunReports, RunStore } from '../running/run-store.ts';
import { harnessVersion } from '../version.ts';
import { hasNothingToJudge, type RejudgeInputs, readRejudgeInputs } from './rejudge-inputs.ts';

export interface RejudgeOptions {
  readonly reports: string;
  readonly specs?: readonly string[];
  readonly lamp?: string;
  readonly rig?: string;
  /** The archive that takes the new run; the one that the old run is in when absent. */
  readonly out?: string;
}

export interface RejudgeSetup {
  /** Folder that the options' paths are relative to. */
  readonly cwd: string;
  readonly signal: AbortSignal;
  readonly reports: RunReports;
}

export interface Rejudged {
  readonly record: RunRecord;
  /** Folder of the new run. */
  readonly folder: string;
}

/**
 * Judges a stored run again, from its captures, against the specs as they are now. The outcome is a run of its own that
 * names the old one; the old one is not touched. An interruption is a Complaint and stores nothing.
 */
export async function rejudge(
  name: string,
  options: RejudgeOptions,
  { cwd, signal, reports }: RejudgeSetup,
): Promise<Rejudged> {
  const source = await findRunFolder(resolve(cwd, options.reports), name);
  const stored = await readSealed(source);
  const inputs = readRejudgeInputs(stored, options, cwd);
  const started = performance.now();
  const draft = draftOf(stored, inputs);
  const looks = looksOf(stored.decision);
  const store = new RunStore(resolve(cwd, options.out ?? options.reports), reports);
  let sealed = false;
  try {
    await store.begin(draft, 0);
    const specs: SpecRecord[] = [];
    for (const { plan, old } of inputs.pairs) {
      const conditions: ConditionRecord[] = [];
      for (const before of old.conditions) {
        if (signal.aborted) throw new Complaint('interrupted', nothingStored);
        const after = await judgeAgain(plan, before, { source, inputs, store, looks });
        conditions.push(after);
      }
      const unprovable = hasNothingToJudge(old) ? (old.reason ?? undefined) : undefined;
      const { quarantine } = old;
      const claim = specRecord(plan, conditions, inputs.lamp, unprovable);
      specs.push({ ...claim, ...(quarantine && { quarantine }) });
    }
    const record: RunRecord = {
      ...draft,
      ended: stored.ended,
      endedAt: new Date().toISOString(),
      verdict: verdictWithBench(verdictOfRun(specs), stored),
      totals: totalsOf(specs, (performance.now() - started) / 1000),
      specs,
    };
    await store.finish(record);
    sealed = true;
    return { record, folder: store.path ?? '' };
  } finally {
    await store.close();
    // Half of it is of no use, and the whole can be made again at any time.
    if (!sealed && store.path) await rm(store.path, { recursive: true, force: true });
  }
}

async function readSealed(source: string): Promise<RunRecord> {
  const { record, sealed } = await readRun(source);
  const manifest = await readManifest(source);
  if (!sealed || !manifest) {
    throw new Complaint(
      'bad-file',
      `run ${record.id} is unfinished; finish it with evenfall run --resume ${record.id}`,
    );
  }
  const left = leftAwayText(record);
  if (left !== null) {
    const text = `run ${record.id} was stored without ${left}, so that it cannot be judged again; run it again, with all captures`;
    throw new Complaint('usage', text);
  }
  const broken = await brokenFiles(source, manifest);
  if (broken.length === 0) return record;
  const files = broken.map((one) => `${one.file} (${harmWord(one)})`).join(', ');
  throw new Complaint(
    'refused',
    `run ${record.id} has changed since it was sealed: ${files}; nothing can be judged from it`,
  );
}

const nothingStored = 'interrupted before everything was judged again; nothing was stored';

interface Judging {
  readonly source: string;
  readonly inputs: RejudgeInputs;
  readonly store: RunStore;
  readonly looks: Looks | null;
}

/** One condition, with its captures copied into the new run. */
async function judgeAgain(
  plan: Plan,
  before: ConditionRecord,
  { source, inputs, store, looks }: Judging,
): Promise<ConditionRecord> {
  const codes = new Map<string, Codes>();
  for (const capture of before.captures) {
    const stored = await readCapture(source, capture.file);
    await store.saveCapture(capture, stored.codes);
    codes.set(capture.id, stored.codes);
  }
  const condition = plan.conditions.find(({ key }) => key === before.key);
  if (!condition) throw new Error(`no condition ${conditionId(plan.spec, before)}`);
  const after = rejudgeCondition(before, condition, codes, { ...inputs, looks });
  await store.saveCondition(plan.spec, after);
  return after;
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
    version: recordVersion,
    id: newRunId(),
    ended: 'unfinished',
    startedAt: new Date().toISOString(),
    endedAt: null,
    harness: { version: harnessVersion, node: process.versions.node, commit: null },
    deviations: [...stored.deviations, ...texts.map((text) => ({ kind: 'judged again', text }))],
    follows: [{ id: stored.id, how: 'rejudges' }],
    specs: inputs.pairs.map(({ plan }) => ({
      ...specRecord(plan, [], inputs.lamp),
      verdict: 'not run',
      reason: 'not judged again yet',
    })),
  };
}
