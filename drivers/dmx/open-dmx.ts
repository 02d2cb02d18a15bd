import * as z from 'zod';
import { BenchError } from '../../harness/bench/errors.ts';
import type { OpenInstrument } from '../driver.ts';
import { readByPreflight, readSettings } from '../settings.ts';
import { addressSetting } from '../transport/open-byte-port.ts';
import { dmxBaud } from './dmx-line.ts';
import { DmxLampLink } from './dmx-link.ts';

/** Settings of an instrument with `driver: dmx`. */
export const dmxSettings = z.strictObject({
  ...readByPreflight,
  address: addressSetting.refine(({ kind }) => kind === 'serial', {
    message: 'expected the path of a serial port (RS-485 adapter)',
  }),
  break: z.enum(['line', 'baud-rate'], 'expected line or baud-rate').default('line'),
});

export const openDmx: OpenInstrument = (instrument, { lamp, clock }) => {
  const { name } = instrument;
  const { address, break: method } = readSettings(dmxSettings, instrument);
  const slots = lamp.links.dmx;
  if (!slots)
    throw new BenchError(
      'unsupported',
      name,
      `lamp ${lamp.lamp} has no DMX512 link; add links.dmx to the lamp file, or drop instrument ${name}`,
    );
  const path = address.kind === 'serial' ? address.path : '';
  const connect = async (signal: AbortSignal) => {
    const { openSerialLine } = await import('../transport/serial-byte-port.ts');
    const line = await openSerialLine({ path, baud: dmxBaud, stopBits: 2 }, signal);
    line.listen({ data: () => {}, gone: () => {} });
    return line;
  };
  return new DmxLampLink({ name, lamp, slots, clock, method, connect });
};
