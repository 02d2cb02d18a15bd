import * as z from 'zod';
import { defineDriver } from '../driver.ts';
import { linkOfLamp } from '../link-of-lamp.ts';
import { openLines } from '../transport/lines-over-bytes.ts';
import { addressSetting, baudSetting, openBytePort } from '../transport/open-byte-port.ts';
import { bridgeLines } from './bridge-lines.ts';
import { DaliLampLink } from './dali-link.ts';

/** More bytes without a line end come from no bridge. */
const longestReply = 1024;

/** A DALI bus behind a serial bridge that speaks in lines. */
export const daliDriver = defineDriver({
  name: 'dali',
  settings: z.strictObject({
    address: addressSetting,
    baud: baudSetting('Speed of the serial port.').default(115_200),
    lines: bridgeLines.prefault({}),
  }),
  open: ({ name, driver, settings: { address, baud, lines } }, { lamp, clock, log }) => {
    const { shortAddress } = linkOfLamp(lamp, 'dali', name);
    const port = (signal: AbortSignal) => openBytePort(address, baud, signal);
    const open = openLines(port, longestReply, clock);
    return new DaliLampLink({ name, driver, lamp, clock, log, shortAddress, lines, open });
  },
});
