import { runSpecs } from '../run/engine.ts';
import type { Lane } from '../run/lane.ts';
import type { Plan } from '../spec/plan.ts';
import { draftRecord } from './draft-record.ts';
import { lent } from './plant-lanes.ts';
import type { RunInputs } from './run-inputs.ts';

/** One lamp (a seed, at most one fault) put before the specs. */
export interface ChallengeUnit {
  readonly fault: { readonly fault: string; readonly size: number } | null;
  readonly seed: number;
}

/** What the specs said of one lamp, by spec id. */
export interface UnitResult {
  readonly failed: readonly string[];
  readonly undecided: readonly string[];
}

/** Names a unit in the file that a challenge can be resumed from. */
export function unitName({ fault, seed }: ChallengeUnit): string {
  return fault ? `${fault.fault}=${fault.size} seed ${seed}` : `healthy seed ${seed}`;
}

/** Runs the specs on one lamp; nothing is stored. */
export async function runUnit(
  unit: ChallengeUnit,
  plans: readonly Plan[],
  inputs: RunInputs,
  lane: Lane,
  signal: AbortSignal,
): Promise<UnitResult> {
  const faults = unit.fault ? [unit.fault] : [];
  const draft = draftRecord({
    ...inputs,
    plans,
    faults,
    seed: unit.seed,
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
    seed: unit.seed,
    lanes,
    draft,
    listeners: [],
    signal,
    wall,
  });
  if (record.ended === 'interrupted') throw new Interrupted();
  const named = (...verdicts: readonly string[]): string[] =>
    record.specs.filter(({ verdict }) => verdicts.includes(verdict)).map(({ spec }) => spec);
  return { failed: named('fail'), undecided: named('inconclusive', 'error') };
}

/** The unit was cut off: it has no result. */
export class Interrupted extends Error {
  override readonly name = 'Interrupted';
}
