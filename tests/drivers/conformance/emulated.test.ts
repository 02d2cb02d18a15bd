import { afterAll, beforeAll } from 'vitest';
import type { Candidate } from '../../../drivers/conformance/conformance.ts';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { openInstrument, openTestEmulation, rigFor } from '../emulate/open-test-bench.ts';
import { describeConformance } from './describe-conformance.ts';
import { climateRig, emulatedRig, lamp } from './shipped-bench.ts';

/** Every instrument at once: the colour sensor beside the spectrometer. */
const base: Rig = {
  ...climateRig,
  instruments: [
    ...climateRig.instruments,
    ...emulatedRig.instruments.filter(({ name }) => name === 'colour-sensor'),
  ],
  wiring: emulatedRig.wiring,
};

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation({ rig: base });
  await emulation.live.setContact(true);
  await emulation.live.setSource(48);
  await emulation.live.setPower(true);
});
afterAll(() => emulation.close());

function candidate(name: string, terminal = false): Candidate {
  const rig = rigFor(emulation, { terminal, base });
  const open = async () => {
    // The supply's own tests switch it off.
    if (name !== 'supply') await emulation.live.setPower(true);
    if (name !== 'relay') await emulation.live.setContact(true);
    return openInstrument(rig, name);
  };
  return { lamp, open, deadline: 5, highestVolts: 60, highestCelsius: 70 };
}

describeConformance('a SCPI digitiser', 'digitiser', () => candidate('digitiser'));
describeConformance('a SCPI supply', 'supply', () => candidate('supply'));
describeConformance('a SCPI relay', 'switch', () => candidate('relay'));
describeConformance('a SCPI chamber', 'chamber', () => candidate('chamber'));
describeConformance('a SCPI thermometer', 'thermometer', () => candidate('probe'));
// Its lamp is dark.
describeConformance('a SCPI colour sensor', 'colour-sensor', () => candidate('colour-sensor'), [
  'A second reading, with another integration time, is a new one',
]);
describeConformance('a SCPI spectrometer', 'spectrometer', () => candidate('spectrometer'));
describeConformance('a console over TCP', 'lamp-link', () => candidate('console'));
describeConformance('a console on a terminal', 'lamp-link', () => candidate('console', true));
describeConformance('a DALI bridge', 'lamp-link', () => candidate('dali'));
describeConformance('an sACN sender', 'lamp-link', () => candidate('sacn'));
