import { afterAll, beforeAll } from 'vitest';
import type { Candidate } from '../../../drivers/conformance/conformance.ts';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { openInstrument, openTestEmulation, rigFor } from '../emulate/open-test-bench.ts';
import { describeConformance } from './describe-conformance.ts';
import { lamp } from './shipped-bench.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
  await emulation.live.setSource(48);
  await emulation.live.setPower(true);
});
afterAll(() => emulation.close());

function candidate(name: string, terminal = false): Candidate {
  const rig = rigFor(emulation, { terminal });
  const open = async () => {
    // The supply's own tests switch it off.
    if (name !== 'supply') await emulation.live.setPower(true);
    return openInstrument(rig, name);
  };
  return { lamp, open, deadline: 5, highestVolts: 60 };
}

describeConformance('a SCPI digitiser', 'digitiser', () => candidate('digitiser'));
describeConformance('a SCPI supply', 'supply', () => candidate('supply'));
describeConformance('a SCPI colour sensor', 'colour-sensor', () => candidate('colour-sensor'));
describeConformance('a console over TCP', 'lamp-link', () => candidate('console'));
describeConformance('a console on a terminal', 'lamp-link', () => candidate('console', true));
describeConformance('a DALI bridge', 'lamp-link', () => candidate('dali'));
describeConformance('an sACN sender', 'lamp-link', () => candidate('sacn'));
