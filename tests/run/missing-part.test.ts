import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Rig } from '../../harness/bench/rig.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import type { Step } from '../../harness/plan/plan.ts';
import { schedule } from '../../harness/plan/schedule.ts';
import { missingPart } from '../../harness/run/missing-part.ts';

const file = 'specs/rigs/simulated.rig.yaml';
const read = readRig(readFileSync(file, 'utf8'), file);
if (!('rig' in read)) throw new Error(JSON.stringify(read.issues));
const simulated = read.rig;
const { dmx: _, ...links } = simulated.links;
const withoutDmx: Rig = { ...simulated, links };
const { supply: __, ...withoutSupply } = simulated;

const steps: Step[] = [
  { verb: 'set', level: 1, link: 'dmx' },
  { verb: 'repeat', times: 2, steps: [{ verb: 'supply', volts: 48 }] },
];

describe('missingPart', () => {
  it('finds nothing missing on a rig that has it all', () => {
    expect(missingPart(schedule(steps), simulated)).toBeNull();
  });

  it('names the link that the rig does not carry', () => {
    expect(missingPart(schedule(steps), withoutDmx)).toBe(
      "rig simulated carries no dmx link (it has console, dali, sacn); add it to the rig's links, or leave the claim to a rig that has it",
    );
  });

  it('names the supply, also inside a repeat', () => {
    expect(missingPart(schedule(steps), withoutSupply)).toContain('has no supply that can be set');
  });

  it('sees raw messages', () => {
    const send: Step[] = [{ verb: 'send', message: { link: 'dmx', startCode: 0, slots: [1] } }];
    expect(missingPart(schedule(send), withoutDmx)).toContain('no dmx link');
  });

  it('sees noise', () => {
    const noise: Step[] = [{ verb: 'noise', link: 'dmx', bytes: 9 }];
    expect(missingPart(schedule(noise), withoutDmx)).toContain('no dmx link');
  });
});
