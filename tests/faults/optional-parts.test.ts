import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { healthyModel } from '../../drivers/plant/model.ts';
import { openPlantBench } from '../../drivers/plant/plant-bench.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import { runCondition } from '../../harness/run/condition/run-condition.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { rig } from '../firmware/judge.ts';

const lamp = (() => {
  const file = 'specs/lamps/alcove-pwm.lamp.yaml';
  const read = readLamp(readFileSync(file, 'utf8'), file);
  if (!('lamp' in read)) throw new Error(JSON.stringify(read.issues));
  return read.lamp;
})();

async function verdict(on: Lamp, name: string): Promise<string> {
  const file = `specs/${name}.spec.yaml`;
  const folder = name.split('/')[0] ?? '';
  const spec = readSpec(readFileSync(file, 'utf8'), { file, folder, digest: '', lamp: on });
  if (!('plan' in spec)) throw new Error(JSON.stringify(spec.issues));
  const [condition] = spec.plan.conditions;
  if (!condition) throw new Error(`${name} has no conditions`);
  const seeds = { seed: 7, lampSeed: 1 };
  const task = {
    ...{ spec: spec.plan.spec, condition, position: 1, repeat: 0, lamp: on, rig, faults: [] },
    ...seeds,
  };
  const open = () => openPlantBench({ lamp: on, rig, faults: [], ...seeds });
  const clock = { wallNow: () => '2026-01-01T00:00:00Z' };
  return (await runCondition(task, open, new AbortController().signal, clock)).condition.verdict;
}

describe('what a lamp file may state besides', () => {
  test('a dead time is made up for by the built-in firmware: the bottom stays where it is', async () => {
    // Of 15.6 µs at 0.1 % a pulse has 15.6 ns.
    const late: Lamp = { ...lamp, stage: { ...lamp.stage, deadTime: 30e-9 } };
    expect(healthyModel(late, 1).stage.deadTime).toBe(30e-9);
    expect(await verdict(late, 'dimming/reaches-bottom')).toBe('pass');
  });

  test('a ripple of the rail is held off by a sound current loop', async () => {
    const rough: Lamp = { ...lamp, supply: { ...lamp.supply, ripple: 0.1 } };
    expect(healthyModel(rough, 1).supply.ripple).toBe(0.1);
    expect(await verdict(rough, 'flicker/steady-at-full')).toBe('pass');
  });

  test('a spread of forward voltages and a crosstalk are in the lamp', () => {
    const spread = healthyModel({ ...lamp, spread: { forwardVoltage: 0.05 } }, 1);
    const usual = healthyModel(lamp, 1);
    const apart = (model: typeof usual): number =>
      Math.max(
        ...model.channels.map(({ emitter, nominal }) =>
          Math.abs(emitter.forwardVoltage / nominal.forwardVoltage - 1),
        ),
      );
    expect(apart(spread) / apart(usual)).toBeCloseTo(5, 6);
    expect(healthyModel({ ...lamp, crosstalk: 0.02 }, 1).optics.crosstalk).toBe(0.02);
    expect(usual.optics.crosstalk).toBe(0);
  });
});
