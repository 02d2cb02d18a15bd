import type { Plan } from '../../plan/plan.ts';
import { runSpecs } from '../../run/engine/engine.ts';
import type { Lane } from '../../run/engine/lane.ts';
import type { Verdict } from '../../verdict/verdict.ts';
import type { RunInputs } from '../inputs/run-inputs.ts';
import { lent } from '../lanes/plant-lanes.ts';
import { draftRecord } from '../running/draft-record.ts';

/** One lamp (a file, a seed, at most one fault) put before the specs. */
export interface ChallengeUnit {
  readonly inputs: RunInputs;
  readonly fault: { readonly fault: string; readonly size: number } | null;
  readonly seed: number;
}

/** What each spec said of one lamp, by spec id. */
export type UnitResult = Readonly<Record<string, Verdict>>;

/** Names a unit in the file that a challenge can be resumed from; other contents of a lamp or rig file are another unit. */
export function unitName({ fault, seed, inputs }: ChallengeUnit): string {
  const { lamp, lampFile, rigFile } = inputs;
  const files = `${lampFile.digest.slice(0, 12)} ${rigFile.digest.slice(0, 12)}`;
  const name = fault ? `${fault.fault}=${fault.size}` : 'healthy';
  return `${name} seed ${seed} ${lamp.lamp} (${files})`;
}

/** Runs specs on one lamp; nothing is stored. */
export async function runUnit(
  unit: ChallengeUnit,
  plans: readonly Plan[],
  lane: Lane,
  signal: AbortSignal,
): Promise<UnitResult> {
  const { inputs, seed } = unit;
  const faults = unit.fault ? [unit.fault] : [];
  const draft = draftRecord({
    ...inputs,
    plans,
    faults,
    seed,
    tags: [],
    paths: [],
    build: 'challenge',
    serial: 'simulated',
    firmware: { kind: 'reference', name: 'reference firmware', digest: null },
    commit: null,
    identities: new Map(),
    notes: {},
    startedAt: new Date().toISOString(),
  });
  const wall = { now: () => new Date().toISOString(), seconds: () => performance.now() / 1000 };
  const { lamp, rig } = inputs;
  const lanes = [lent(lane)];
  const record = await runSpecs({
    plans,
    lamp,
    rig,
    faults,
    seed,
    lanes,
    draft,
    listeners: [],
    signal,
    wall,
  });
  if (record.ended === 'interrupted') throw new Interrupted();
  return Object.fromEntries(record.specs.map(({ spec, verdict }) => [spec, verdict]));
}

/** The unit was cut off: it has no result. */
export class Interrupted extends Error {
  override readonly name = 'Interrupted';
}
