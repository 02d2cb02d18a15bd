import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Firmware, LampHardware } from '../../../drivers/plant/firmware/firmware.ts';
import { ReferenceFirmware } from '../../../drivers/plant/firmware/reference.ts';
import { healthyModel } from '../../../drivers/plant/model.ts';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { driverSettings } from '../../../drivers/registry.ts';
import { readLamp } from '../../../harness/bench/lamp-file.ts';
import { readRig } from '../../../harness/bench/rig-file.ts';
import type { Criterion } from '../../../harness/plan/plan.ts';
import { runCondition } from '../../../harness/run/condition/run-condition.ts';
import type { ConditionTask } from '../../../harness/run/engine/lane.ts';

const readenLamp = readLamp(readFileSync('specs/lamps/alcove-6.lamp.yaml', 'utf8'), 'lamp');
const readenRig = readRig(
  readFileSync('specs/rigs/simulated.rig.yaml', 'utf8'),
  'rig',
  driverSettings,
);
if (!('lamp' in readenLamp) || !('rig' in readenRig)) throw new Error('the shipped files are bad');
const { lamp } = readenLamp;
const { rig } = readenRig;

/** Understands and answers everything, and never drives an output. */
function unlit(): Firmware {
  const healthy = new ReferenceFirmware(lamp, healthyModel(lamp, 1).firmware);
  return {
    name: 'unlit',
    kind: 'reference',
    digest: null,
    start: (hardware) => healthy.start(withoutOutputs(hardware)),
    tick: () => healthy.tick(),
    receive: (link) => healthy.receive(link),
    dispose: () => healthy.dispose(),
  };
}

function withoutOutputs(hardware: LampHardware): LampHardware {
  return new Proxy(hardware, {
    get(target, name) {
      if (name === 'setDrive') return () => {};
      const value = Reflect.get(target, name, target);
      return typeof value === 'function' ? value.bind(target) : value;
    },
  });
}

function criterion(metric: string, of: string): Criterion {
  const limits = { lower: 0.09, upper: 0.11, target: 0.1, text: '10 % ± 10 %' };
  return { metric, of, during: 'low', reference: 'full', parameters: {}, limits, line: 1 };
}

describe('a lamp that answers but never lights', () => {
  it.each([1, 2, 3, 4, 5])(
    'fails its claims about light, seed %i; the bench is not blamed',
    async (seed) => {
      const task: ConditionTask = {
        spec: 'dims',
        position: 1,
        condition: {
          key: '',
          values: {},
          stimulus: [
            { verb: 'set', level: 1, mix: { name: 'all' } },
            { verb: 'hold', time: 0.1 },
            { verb: 'mark', name: 'full' },
            { verb: 'hold', time: 0.2 },
            { verb: 'mark', name: 'low' },
            { verb: 'set', level: 0.1 },
            { verb: 'hold', time: 0.2 },
          ],
          captures: [
            { signal: 'channel-current', of: 'each-channel', rate: 5000 },
            { signal: 'light', of: 'light', rate: 5000 },
            { signal: 'colour', of: 'lamp', integration: 0.02, every: 0.02 },
          ],
          criteria: [
            criterion('level-ratio', 'warm'),
            criterion('level-ratio', 'light'),
            criterion('level-error', 'cool'),
            criterion('level-error-lightness', 'light'),
            criterion('channel-ratio-drift', 'lamp'),
            criterion('uv-shift', 'lamp'),
          ],
        },
        repeat: 0,
        lamp,
        rig,
        seed,
        lampSeed: seed,
        faults: [],
      };
      const open = () =>
        openPlantBench({ lamp, rig, seed, lampSeed: seed, faults: [], firmware: unlit });
      const signal = new AbortController().signal;
      const wall = { wallNow: () => '2026-01-01T00:00:00Z' };
      const { condition } = await runCondition(task, open, signal, wall);
      const told = condition.findings.map(({ metric, verdict }) => `${metric} ${verdict}`);
      expect(told).toEqual([
        'level-ratio fail',
        'level-ratio fail',
        'level-error fail',
        'level-error-lightness fail',
        'channel-ratio-drift fail',
        // A colour sensor that sees too little does not tell a dark lamp from one too dim for it.
        'uv-shift inconclusive',
      ]);
      expect(condition.findings[0]!.reason).toContain('no light in the reference window');
    },
  );
});
