import type { RawMessage } from '../../bench/ports.ts';
import { words } from '../../files/schema-parts.ts';
import type { LinkLanguage } from './link-language.ts';

type ConsoleLine = Extract<RawMessage, { link: 'console' }>;

/** Bits on a serial line for a byte: start, eight of data, stop. */
const bitsPerByte = 10;
/** What a lamp says to a garbled line is read away until it has been silent for 0.25 s; and some room, s. */
const silence = 0.3;

const keys = { console: words('One line for the console.').optional() };

/** One line of text, answered by lines. */
export const consoleLanguage: LinkLanguage<ConsoleLine, typeof keys> = {
  link: 'console',
  keys,
  read({ console: written = '' }, reader) {
    const at = reader.at('console');
    const line = at.text(written);
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
