import { afterAll, beforeAll } from 'vitest';
import type { Subject } from '../../../drivers/conformance/conformance.ts';
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

function subject(name: string, terminal = false): Subject {
  const rig = rigFor(emulation, { terminal });
  const open = async () => {
    // The supply's own tests switch it off.
    if (name !== 'supply') await emulation.live.setPower(true);
    return openInstrument(rig, name);
  };
  return { lamp, open, deadline: 5, highestVolts: 60 };
}

describeConformance('a SCPI digitiser', 'digitiser', () => subject('digitiser'));
describeConformance('a SCPI supply', 'supply', () => subject('supply'));
describeConformance('a SCPI colour sensor', 'colour-sensor', () => subject('colour-sensor'));
describeConformance('a console over TCP', 'lamp-link', () => subject('console'));
describeConformance('a console on a terminal', 'lamp-link', () => subject('console', true));
describeConformance('a DALI bridge', 'lamp-link', () => subject('dali'));
describeConformance('an sACN sender', 'lamp-link', () => subject('sacn'));
