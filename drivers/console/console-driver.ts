import * as z from 'zod';
import { defineDriver } from '../driver.ts';
import { linkOfLamp } from '../link-of-lamp.ts';
import { openLines } from '../transport/lines-over-bytes.ts';
import { addressSetting, baudSetting, openBytePort } from '../transport/open-byte-port.ts';
import { ConsoleLampLink } from './console-link.ts';
import { withoutProbes } from './probe-lines.ts';

/** More bytes without a line end are no text. */
const longestReply = 4096;

/** The lamp's console on a serial port or behind TCP. */
export const consoleDriver = defineDriver({
  name: 'console',
  settings: z.strictObject({
    address: addressSetting,
    baud: baudSetting(
      "Speed of the serial port; the lamp file's where nothing is said.",
    ).optional(),
  }),
  open: ({ name, driver, settings: { address, baud } }, { lamp, clock, log }) => {
    const templates = linkOfLamp(lamp, 'console', name);
    const port = async (signal: AbortSignal) =>
      withoutProbes(
        await openBytePort(address, baud ?? templates.baud, signal),
        ({ name: probe, unit, value }) => log?.probed?.(clock.now(), probe, unit, value),
      );
    const open = openLines(port, longestReply, clock);
    return new ConsoleLampLink({ name, driver, lamp, clock, log }, templates, open);
  },
});
