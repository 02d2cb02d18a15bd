import * as z from 'zod';
import type { RawMessage } from '../../bench/ports.ts';
import { scalar, words } from '../../files/schema-parts.ts';
import { formatNumber } from '../../units/format-quantity.ts';
import type { Raw, ValueReader } from '../value-reader.ts';
import type { LinkLanguage } from './link-language.ts';

type ConsoleLine = Extract<RawMessage, { link: 'console' }>;

/** Bits on a serial line for a byte: start, eight of data, stop. */
const bitsPerByte = 10;
/** What a lamp says to a garbled line is read away until it has been silent for 0.25 s; and some room, s. */
const silence = 0.3;

const target = z
  .strictObject({
    level: scalar('Dim level, possibly beyond what a lamp may have.', '150 %'),
    intensities: scalar('Intensity of every channel, possibly beyond.', '100 %'),
  })
  .meta({ description: 'The line of the lamp file that sets these, whatever they are.' });

const keys = {
  console: z
    .union([words('One line for the console.'), target])
    .optional()
    .meta({ description: 'One line for the console.' }),
};

/** One line of text, answered by lines. */
export const consoleLanguage: LinkLanguage<ConsoleLine, typeof keys> = {
  link: 'console',
  keys,
  read({ console: written = '' }, reader) {
    const at = reader.at('console');
    const line = typeof written === 'string' ? at.text(written) : lineOf(written, at);
    if (!/[\r\n]/.test(line)) return { link: 'console', line };
    at.report('expected one line, found a line end in it');
    return null;
  },
  readExpectation(written, reader) {
    const text = reader.text(written).trim();
    if (text === 'silence') return { silence: true };
    return { text: text === 'understood' ? (reader.lamp.links.console?.ok ?? 'ok') : text };
  },
  text: ({ line }) => line,
  words: ({ line }) => `the line “${line}”`,
  noiseTime(lamp, bytes) {
    const baud = lamp.links.console?.baud;
    return baud ? (bytes * bitsPerByte) / baud + silence : 0;
  },
};

/** By the template of the lamp file. */
function lineOf({ level, intensities }: z.infer<typeof target>, reader: ValueReader): string {
  const ratio = (key: 'level' | 'intensities', own: Raw) =>
    formatNumber(100 * reader.at(key).figure(own, 'ratio', { least: 0, most: 1000 }));
  const { links, channels } = reader.lamp;
  const each = ratio('intensities', intensities);
  return (links.console?.set ?? '')
    .replaceAll('{level}', ratio('level', level))
    .replaceAll('{intensities}', channels.map(() => each).join(' '));
}
