import * as z from 'zod';
import { readable } from '../../harness/files/schema-parts.ts';
import { defineDriver } from '../driver.ts';
import { linkOfLamp } from '../link-of-lamp.ts';
import { readAddress } from '../transport/open-byte-port.ts';
import { DmxLampLink } from './dmx-link.ts';
import { dmxBaud, SerialSlotLine } from './serial-slot-line.ts';

/** DMX512 over an RS-485 adapter on a serial port. */
export const dmxDriver = defineDriver({
  name: 'dmx',
  settings: z.strictObject({
    address: readable(
      'Serial port of the RS-485 adapter.',
      'the path of a serial port (RS-485 adapter)',
      '/dev/ttyUSB0',
      (text) => {
        const address = readAddress(text);
        return address?.kind === 'serial' ? address.path : null;
      },
    ),
    break: z.enum(['line', 'baud-rate']).default('line').meta({
      description:
        'How the adapter makes a break: by the break of the line, or by a slow zero byte.',
    }),
  }),
  open: ({ name, driver, settings: { address: path, break: method } }, { lamp, clock, log }) => {
    const slots = linkOfLamp(lamp, 'dmx', name);
    const open = async (signal: AbortSignal) => {
      const { openSerialLine } = await import('../transport/serial-byte-port.ts');
      return openSerialLine({ path, baud: dmxBaud, stopBits: 2 }, signal);
    };
    const outlet = new SerialSlotLine(open, method, clock);
    return new DmxLampLink({
      name,
      driver,
      lamp,
      clock,
      log,
      slots,
      outlet,
      model: 'DMX512 sender',
    });
  },
});
