import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { driverSettings } from '../../drivers/registry.ts';
import type { Rig } from '../../harness/bench/rig.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import { rigLacks } from '../../harness/plan/rig-lacks.ts';
import type { Step } from '../../harness/plan/verbs/verbs.ts';

const file = 'specs/rigs/simulated.rig.yaml';
const read = readRig(readFileSync(file, 'utf8'), file, driverSettings);
if (!('rig' in read)) throw new Error(JSON.stringify(read.issues));
const simulated = read.rig;
const { dmx: _, ...links } = simulated.links;
const withoutDmx: Rig = { ...simulated, links };
const { supply: __, ...withoutSupply } = simulated;

const steps: Step[] = [
  { verb: 'set', level: 1, link: 'dmx' },
  { verb: 'repeat', times: 2, steps: [{ verb: 'supply', volts: 48 }] },
];

describe('rigLacks', () => {
  it('finds nothing missing on a rig that has it all', () => {
    expect(rigLacks(steps, simulated)).toEqual([]);
  });

  it('names the link that the rig does not have', () => {
    expect(rigLacks(steps, withoutDmx)).toEqual([
      'needs the dmx link, but rig simulated has console, dali, sacn; add dmx to its links, or leave the claim to a rig that has it',
    ]);
  });

  it('names the supply, also inside a repeat', () => {
    expect(rigLacks(steps, withoutSupply)).toEqual([
      'changes the supply, but rig simulated has none that can be set; add "supply" to the rig, or leave the claim to a rig that has one',
    ]);
  });

  it('names the voltage that the rig does not allow', () => {
    expect(rigLacks([{ verb: 'supply', volts: 500 }], simulated)[0]).toMatch(
      /^sets the supply to 500 V, but rig simulated allows at most /,
    );
  });

  it('sees raw messages and noise', () => {
    const send: Step = { verb: 'send', message: { link: 'dmx', startCode: 0, slots: [1] } };
    const noise: Step = { verb: 'noise', link: 'dmx', bytes: 9 };
    expect(rigLacks([send, noise], withoutDmx)).toHaveLength(2);
  });
});
