import { createHash } from 'node:crypto';
import type { Plan } from '../../plan/plan.ts';
import type { RunRecord, SpecRecord } from '../../record/run-record.ts';
import { runSpecs } from '../../run/engine/engine.ts';
import type { Lane } from '../../run/engine/lane.ts';
import type { Verdict } from '../../verdict/verdict.ts';
import { Complaint } from '../complaint.ts';
import type { RunInputs } from '../inputs/run-inputs.ts';
import { lent } from '../lanes/plant-lanes.ts';
import { draftRecord } from '../running/draft-record.ts';
import { wallClock } from '../wall-clock.ts';

/** One lamp (a file, a seed, at most one fault) put before the specs. */
export interface ChallengeUnit {
  readonly inputs: RunInputs;
  readonly fault: { readonly fault: string; readonly size: number } | null;
  readonly seed: number;
}

/** What a spec said of one lamp. */
export interface SpecResult {
  readonly verdict: Verdict;
  /** Digest of all that its findings say: the same where nothing was found otherwise. */
  readonly figures: string;
}

/** By spec id. */
export type UnitResult = Readonly<Record<string, SpecResult>>;

/** Names a unit in the state file; other contents of a lamp or rig file are another unit. */
export function unitName({ fault, seed, inputs }: ChallengeUnit): string {
  const { lamp, lampFile, rigFile } = inputs;
  const files = `${lampFile.digest.slice(0, 12)} ${rigFile.digest.slice(0, 12)}`;
  const name = fault ? `${fault.fault}=${fault.size}` : 'healthy';
  return `${name} seed ${seed} ${lamp.lamp} (${files})`;
}

/** What specs said of one lamp; nothing is stored. Throws a Complaint `interrupted` when the signal aborts. */
export async function runUnit(
  unit: ChallengeUnit,
  plans: readonly Plan[],
  lane: Lane,
  signal: AbortSignal,
): Promise<UnitResult> {
  const record = await recordUnit(unit, plans, lane, signal);
  return Object.fromEntries(record.specs.map((own) => [own.spec, resultOf(own)]));
}

/** Runs specs on one lamp; nothing is stored. Throws a Complaint `interrupted` when the signal aborts. */
export async function recordUnit(
  { inputs, seed, fault }: ChallengeUnit,
  plans: readonly Plan[],
  lane: Lane,
  signal: AbortSignal,
): Promise<RunRecord> {
  const { lamp, rig } = inputs;
  const tested = { plans, lamp, rig, seed, faults: fault ? [fault] : [] };
  const draft = draftRecord({
    ...inputs,
    ...tested,
    tags: [],
    paths: [],
    build: 'challenge',
    serial: 'simulated',
    firmware: { kind: 'reference', name: 'reference firmware', digest: null },
    commit: null,
    identities: new Map(),
    notes: {},
    startedAt: wallClock.now(),
  });
  const lanes = [lent(lane)];
  const record = await runSpecs({
    ...tested,
    lanes,
    draft,
    listeners: [],
    signal,
    wall: wallClock,
  });
  if (record.ended === 'interrupted') throw interrupted();
  return record;
}

function resultOf({ verdict, conditions }: SpecRecord): SpecResult {
  const said = conditions.map((condition) => [
    condition.verdict,
    condition.findings.map(({ outcome, verdict: ending }) => [ending, outcome]),
  ]);
  const digest = createHash('sha256').update(JSON.stringify(said)).digest('hex');
  return { verdict, figures: digest.slice(0, 16) };
}

/** A unit that was cut off has no result. */
export function interrupted(): Complaint {
  return new Complaint('interrupted', 'the challenge was interrupted');
}
