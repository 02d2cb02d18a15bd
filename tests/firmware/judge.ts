import { readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import type { Firmware } from '../../drivers/plant/firmware/firmware.ts';
import { openPlantBench } from '../../drivers/plant/plant-bench.ts';
import { driverSettings } from '../../drivers/registry.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import type { Plan } from '../../harness/plan/plan.ts';
import type { ConditionRecord } from '../../harness/record/run-record.ts';
import { runCondition } from '../../harness/run/condition/run-condition.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';

const specs = resolve(import.meta.dirname, '../../specs');
const read = (file: string) => readFileSync(join(specs, file), 'utf8');

export const lamp = ((): Lamp => {
  const file = readLamp(read('lamps/alcove-6.lamp.yaml'), 'alcove-6.lamp.yaml');
  if (!('lamp' in file)) throw new Error(JSON.stringify(file.issues));
  return file.lamp;
})();

export const rig = (() => {
  const file = readRig(read('rigs/simulated.rig.yaml'), 'simulated.rig.yaml', driverSettings);
  if (!('rig' in file)) throw new Error(JSON.stringify(file.issues));
  return file.rig;
})();

/** A claim of the library, e.g. `fading/fades-on-time`. */
export function claim(name: string): Plan {
  const [folder = ''] = name.split('/');
  const file = `${name}.spec.yaml`;
  const spec = readSpec(read(file), { file, folder, digest: '', lamp });
  if (!('plan' in spec)) throw new Error(JSON.stringify(spec.issues));
  return spec.plan;
}

/** Carries out one condition of a claim on a fresh simulated Alcove-6. */
export async function judge(
  plan: Plan,
  condition: number,
  on: {
    /** Alcove-6 where nothing is said. */
    readonly lamp?: Lamp;
    readonly firmware?: () => Firmware;
    readonly faults?: readonly { readonly fault: string; readonly size: number }[];
  },
): Promise<ConditionRecord> {
  const { firmware, faults = [], lamp: own = lamp } = on;
  const seeds = { seed: 7, lampSeed: 1 };
  const task = {
    spec: plan.spec,
    condition: plan.conditions[condition]!,
    position: 1,
    repeat: 0,
    lamp: own,
    rig,
    faults,
    ...seeds,
  };
  const open = () => openPlantBench({ lamp: own, rig, faults, firmware, ...seeds });
  const clock = { wallNow: () => '2026-01-01T00:00:00Z' };
  return (await runCondition(task, open, new AbortController().signal, clock)).condition;
}
