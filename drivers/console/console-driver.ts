import * as z from 'zod';
import { defineDriver } from '../driver.ts';
import { linkOfLamp } from '../link-of-lamp.ts';
import { addressSetting, baudSetting, openBytePort } from '../transport/open-byte-port.ts';
import { ConsoleLampLink } from './console-link.ts';

/** The lamp's console on a serial port or behind TCP. */
export const consoleDriver = defineDriver({
  name: 'console',
  settings: z.strictObject({
    address: addressSetting,
    baud: baudSetting(
      "Speed of the serial port; the lamp file's where nothing is said.",
    ).optional(),
  }),
  open: ({ name, settings: { address, baud } }, { lamp }) => {
    const templates = linkOfLamp(lamp, 'console', name);
    return new ConsoleLampLink(name, lamp, templates, (signal) =>
      openBytePort(address, baud ?? templates.baud, signal),
    );
  },
});
