import * as z from 'zod';
import { defineDriver } from '../driver.ts';
import { linkOfLamp } from '../link-of-lamp.ts';
import { addressSetting, baudSetting, openBytePort } from '../transport/open-byte-port.ts';
import { bridgeLines } from './bridge-lines.ts';
import { DaliLampLink } from './dali-link.ts';

/** A DALI bus behind a serial bridge that speaks in lines. */
export const daliDriver = defineDriver({
  name: 'dali',
  settings: z.strictObject({
    address: addressSetting,
    baud: baudSetting('Speed of the serial port.').default(115_200),
    lines: bridgeLines.prefault({}),
  }),
  open: ({ name, settings: { address, baud, lines } }, { lamp }) => {
    const { shortAddress } = linkOfLamp(lamp, 'dali', name);
    const connect = (signal: AbortSignal) => openBytePort(address, baud, signal);
    return new DaliLampLink({ name, lamp, shortAddress, lines, connect });
  },
});
