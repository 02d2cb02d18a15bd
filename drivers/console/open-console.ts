import * as z from 'zod';
import { BenchError } from '../../harness/bench/errors.ts';
import type { OpenInstrument } from '../driver.ts';
import { readByPreflight, readSettings } from '../settings.ts';
import { addressSetting, openBytePort } from '../transport/open-byte-port.ts';
import { ConsoleLampLink } from './console-link.ts';

/** Settings of an instrument with `driver: console`. */
export const consoleSettings = z.strictObject({
  ...readByPreflight,
  address: addressSetting,
  /** The lamp file's where nothing is said. */
  baud: z.int().min(50).max(10_000_000).optional(),
});

export const openConsole: OpenInstrument = (instrument, { lamp }) => {
  const { address, baud } = readSettings(consoleSettings, instrument);
  const templates = lamp.links.console;
  if (!templates)
    throw new BenchError(
      'unsupported',
      instrument.name,
      `lamp ${lamp.lamp} has no console; add links.console to the lamp file, or drop instrument ${instrument.name}`,
    );
  return new ConsoleLampLink(instrument.name, lamp, templates, (signal) =>
    openBytePort(address, baud ?? templates.baud, signal),
  );
};
