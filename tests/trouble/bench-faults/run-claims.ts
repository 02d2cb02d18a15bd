import { resolve } from 'node:path';
import { openRig } from '../../../drivers/open-rig.ts';
import { readTrouble, type Trouble } from '../../../drivers/plant/emulate/trouble.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import type { ConditionRecord } from '../../../harness/record/run-record.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { RigLane } from '../../../harness/workflow/lanes/rig-lane.ts';
import { lamp } from '../../drivers/conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from '../../drivers/emulate/open-test-bench.ts';
import { runPlans } from '../../drivers/emulate/run-plans.ts';
import { againWhereBusy } from './busy-machine.ts';

/** Troubles as `evenfall emulate --trouble` takes them. */
function troublesOf(texts: readonly string[]): readonly Trouble[] {
  return texts.map((text) => {
    const names = ['digitiser', 'supply', 'colour-sensor', 'console', 'dali', 'sacn'];
    const trouble = readTrouble(text, names);
    if ('problem' in trouble) throw new Error(trouble.problem);
    return trouble;
  });
}

export interface ClaimRun {
  readonly faults?: readonly { readonly fault: string; readonly size: number }[];
  /** Changes the rig, pointed at the emulated bench already. */
  readonly rig?: (rig: Rig) => Rig;
  /** Where an error of the bench is as right as a verdict, a busy machine makes no difference: the claim is not run again. */
  readonly errorIsRight?: boolean;
}

/** Runs a spec on an emulated bench of its own, by the real engine, lane and drivers; the troubles begin before its first condition. */
export function runClaims(
  spec: string,
  troubles: readonly string[],
  run: ClaimRun = {},
): Promise<readonly ConditionRecord[]> {
  const once = () => runOnce(spec, troubles, run);
  return run.errorIsRight ? once() : againWhereBusy(once);
}

async function runOnce(
  spec: string,
  troubles: readonly string[],
  { faults = [], rig: change = (rig) => rig }: ClaimRun,
): Promise<readonly ConditionRecord[]> {
  const read = readSpec(spec, { file: 'x', folder: 'x', digest: '0'.repeat(64), lamp });
  if (!('plan' in read)) throw new Error(read.issues.map(({ message }) => message).join('\n'));
  const emulation = await openTestEmulation({ faults, factoryFresh: true });
  try {
    const rig = change(rigFor(emulation));
    const to = { rig, lamp, folder: resolve('specs/rigs') };
    const bench = await openRig(to);
    emulation.troubles.set(troublesOf(troubles));
    const record = await runPlans([read.plan], rig, new RigLane(to, bench, new Map()));
    return record.specs.flatMap(({ conditions }) => conditions);
  } finally {
    await emulation.close();
  }
}

/** Verdict and why, in one line a condition. */
export function storyOf(conditions: readonly ConditionRecord[]): string {
  return conditions
    .map(
      ({ verdict, reason, findings }) =>
        `${verdict}: ${reason} ${findings
          .map(
            ({ metric, outcome, uncertainty, verdict: own }) =>
              `[${metric} ${'value' in outcome ? outcome.value : outcome['reason']} ± ${uncertainty?.expanded} ${own}]`,
          )
          .join(' ')}`,
    )
    .join('\n');
}

export const verdictsOf = (conditions: readonly ConditionRecord[]): readonly string[] =>
  conditions.map(({ verdict }) => verdict);
