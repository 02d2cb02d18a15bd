import { resolve } from 'node:path';
import { openRig } from '../../../drivers/open-rig.ts';
import type { Emulation, EmulationOptions } from '../../../drivers/plant/emulate/emulation.ts';
import type { Trouble } from '../../../drivers/plant/emulate/trouble.ts';
import type { Identity } from '../../../harness/bench/ports.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import type { Plan } from '../../../harness/plan/plan.ts';
import type { ConditionRecord } from '../../../harness/record/run-record.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { RigLane } from '../../../harness/workflow/lanes/rig-lane.ts';
import { lamp } from '../../drivers/conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from '../../drivers/emulate/open-test-bench.ts';
import { runPlans } from '../../drivers/emulate/run-plans.ts';
import { againWhereBusy } from './busy-machine.ts';

function planOf(text: string): Plan {
  const file = 'bench-fault.spec.yaml';
  const read = readSpec(text, { file, folder: 'trouble', digest: '0'.repeat(64), lamp });
  if ('plan' in read) return read.plan;
  throw new Error(read.issues.map(({ message }) => message).join('\n'));
}

export interface Bench {
  readonly troubles?: readonly Trouble[];
  readonly emulation?: Partial<EmulationOptions>;
  readonly change?: (rig: Rig) => Rig;
  /** The emulated rig unless told otherwise. */
  readonly base?: Rig;
  /** Called when the bench is open, before the first condition. */
  readonly meanwhile?: (emulation: Emulation) => void;
  readonly deadline?: number;
  readonly retries?: number;
  /** Where an error of the bench is as right as a verdict, a busy machine makes no difference: the claim is not run again. */
  readonly errorIsRight?: boolean;
}

/** Carries out a claim on an emulated bench of its own, by the real engine, lane and drivers; again where this machine was too busy. */
export function runClaim(text: string, bench: Bench = {}): Promise<readonly ConditionRecord[]> {
  const once = () => runOnce(planOf(text), bench);
  return bench.errorIsRight ? once() : againWhereBusy(once);
}

const nobody: ReadonlyMap<string, Identity> = new Map();

async function runOnce(plan: Plan, bench: Bench): Promise<ConditionRecord[]> {
  const { change = (rig) => rig, troubles = [], deadline = 3, retries = 0, base } = bench;
  const emulation = await openTestEmulation({ ...(base && { rig: base }), ...bench.emulation });
  try {
    const rig = change(rigFor(emulation, { deadline, ...(base && { base }) }));
    const to = { rig, lamp, folder: resolve('specs/rigs') };
    const open = await openRig(to);
    emulation.troubles.set(troubles);
    bench.meanwhile?.(emulation);
    const record = await runPlans([plan], rig, new RigLane(to, open, nobody), [], retries);
    return record.specs.flatMap(({ conditions }) => conditions);
  } finally {
    await emulation.close();
  }
}

/** The only condition. */
export async function runOne(text: string, bench: Bench = {}): Promise<ConditionRecord> {
  const [condition] = await runClaim(text, bench);
  if (!condition) throw new Error('expected a condition');
  return condition;
}

export function trouble(kind: Trouble['kind'], on: string, more: Partial<Trouble> = {}): Trouble {
  return { kind, on, from: 1, once: false, seconds: 0, ...more };
}
