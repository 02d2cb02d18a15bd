import * as z from 'zod';
import { BenchError } from '../../harness/bench/errors.ts';
import type { OpenInstrument } from '../driver.ts';
import { readByPreflight, readSettings } from '../settings.ts';
import { addressSetting, openBytePort } from '../transport/open-byte-port.ts';
import { bridgeLines } from './bridge-lines.ts';
import { DaliLampLink } from './dali-link.ts';

/** Settings of an instrument with `driver: dali`. */
export const daliSettings = z.strictObject({
  ...readByPreflight,
  address: addressSetting,
  baud: z.int().min(50).max(10_000_000).default(115_200),
  lines: bridgeLines.default(bridgeLines.parse({})),
});

export const openDali: OpenInstrument = (instrument, { lamp }) => {
  const { name } = instrument;
  const { address, baud, lines } = readSettings(daliSettings, instrument);
  const dali = lamp.links.dali;
  if (!dali)
    throw new BenchError(
      'unsupported',
      name,
      `lamp ${lamp.lamp} has no DALI link; add links.dali to the lamp file, or drop instrument ${name}`,
    );
  const connect = (signal: AbortSignal) => openBytePort(address, baud, signal);
  return new DaliLampLink({ name, lamp, shortAddress: dali.shortAddress, lines, connect });
};
