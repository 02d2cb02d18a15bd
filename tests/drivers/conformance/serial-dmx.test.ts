import { afterAll, beforeAll } from 'vitest';
import { dmxDriver } from '../../../drivers/dmx/dmx-driver.ts';
import { PseudoTerminal } from '../../../drivers/plant/emulate/pseudo-terminal.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import { instrumentOf } from '../instrument-of.ts';
import { describeConformance } from './describe-conformance.ts';
import { lamp, emulatedRig as rig } from './shipped-bench.ts';

let terminal: PseudoTerminal;
beforeAll(() => {
  // Nobody reads the frames: a pseudo-terminal carries no break.
  terminal = new PseudoTerminal(() => {});
});
afterAll(() => terminal.close());

describeConformance('a DMX512 sender on a serial port', 'lamp-link', () => ({
  lamp,
  deadline: 5,
  open: async () => {
    const settings = { address: terminal.path, break: 'baud-rate' };
    const instrument = instrumentOf(dmxDriver, settings, { name: 'dmx', deadline: 5 });
    return dmxDriver.open(instrument, { rig, lamp, clock: new RealClock(), folder: '.' });
  },
}));
