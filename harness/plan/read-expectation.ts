import * as z from 'zod';
import { links } from '../bench/links.ts';
import { didYouMean } from '../files/did-you-mean.ts';
import { scalar, words } from '../files/schema-parts.ts';
import type { AnswerRange, Expectation } from './expectation.ts';
import type { LinkLanguage } from './links/link-language.ts';
import type { Raw, ValueReader } from './value-reader.ts';

const bound = scalar('A figure without a unit, as the lamp says it.', 20);

const range = z
  .strictObject({
    between: z.tuple([bound, bound]).optional(),
    'at-least': bound.optional(),
    'at-most': bound.optional(),
    line: words('The answer, with {number} where its figure stands, {text} for anything.')
      .optional()
      .meta({ examples: ['board {number} °C'] }),
    answer: words('Name of an answer that the lamp file writes down.').optional(),
  })
  .meta({ description: 'A figure within bounds: a byte, or the figure in a line.' });
type WrittenRange = z.infer<typeof range>;

export const writtenExpectation = z
  .union([
    scalar('What the lamp must answer: a line, a byte (0xff), `understood`, `silence`.'),
    z
      .array(z.union([z.string(), z.number()]))
      .min(1)
      .max(256)
      .meta({ description: 'Any of these.' }),
    range,
  ])
  .meta({ description: 'What the lamp must answer.' });
type WrittenExpectation = z.infer<typeof writtenExpectation>;

/** What must come back on a link; null where it has issues (reported). */
export function readExpectation(
  written: WrittenExpectation,
  language: LinkLanguage,
  reader: ValueReader,
): Expectation | null {
  const one = (own: Raw, place: ValueReader) => language.readExpectation?.(own, place) ?? null;
  if (Array.isArray(written)) {
    const read = written.map((own, index) => one(own, reader.at(index)));
    const anyOf = read.filter((each) => each !== null);
    return anyOf.length === read.length ? { anyOf } : null;
  }
  if (typeof written !== 'object') return one(written, reader);
  return readRange(written, links[language.link].answers === 'byte', reader);
}

function readRange(
  written: WrittenRange,
  isByte: boolean,
  reader: ValueReader,
): AnswerRange | null {
  const { between, 'at-least': atLeast, 'at-most': atMost } = written;
  const sides = atLeast !== undefined || atMost !== undefined;
  if ((between !== undefined) === sides) {
    reader.report(
      `expected the bounds of the answer (between, at-least, at-most), found ${sides ? 'between and another one' : 'none'}`,
    );
    return null;
  }
  const read = (own: Raw | undefined, open: number, ...keys: (string | number)[]) =>
    own === undefined ? open : readBound(own, isByte, reader.at(...keys));
  const lowest = between
    ? read(between[0], 0, 'between', 0)
    : read(atLeast, Number.NEGATIVE_INFINITY, 'at-least');
  const highest = between
    ? read(between[1], 0, 'between', 1)
    : read(atMost, Number.POSITIVE_INFINITY, 'at-most');
  if (Number.isNaN(lowest) || Number.isNaN(highest)) return null;
  if (lowest > highest)
    reader.report(`expected the lower figure first, found ${lowest} and ${highest}`);
  const line = readLine(written, isByte, reader);
  return line === undefined || lowest > highest ? null : { lowest, highest, line };
}

function readBound(written: Raw, isByte: boolean, reader: ValueReader): number {
  if (isByte) return reader.whole(written, 0, 255);
  const text = reader.text(written).trim();
  if (/^[-+]?\d+(\.\d+)?$/.test(text)) return Number(text);
  if (!text.includes('$'))
    reader.report(
      `expected a figure without a unit, found "${text.slice(0, 60)}"; units belong into line: "{number} °C"`,
    );
  return Number.NaN;
}

/** Null where any line will do; undefined where it has issues. */
function readLine(
  { line, answer }: WrittenRange,
  isByte: boolean,
  reader: ValueReader,
): string | null | undefined {
  if (line === undefined && answer === undefined) return null;
  const key = line === undefined ? 'answer' : 'line';
  if (isByte || (line !== undefined && answer !== undefined)) {
    const why = isByte ? 'goes with a console; a byte has no words' : 'goes without line';
    reader.at(isByte ? key : 'answer').report(`${isByte ? key : 'answer'} ${why}`, null, 'key');
    return undefined;
  }
  const text = line === undefined ? namedAnswer(answer ?? '', reader) : reader.text(line);
  if (text === undefined || text.split('{number}').length === 2) return text;
  reader
    .at(key)
    .report(`expected {number} once in the line, where its figure stands, found "${text}"`);
  return undefined;
}

function namedAnswer(name: string, reader: ValueReader): string | undefined {
  const { answers = {} } = reader.lamp.links.console ?? {};
  const text = answers[reader.text(name)];
  if (text !== undefined || !reader.lampFits) return text;
  const known = Object.keys(answers);
  const has = known.length > 0 ? `it has: ${known.join(', ')}` : 'its console has no answers';
  reader
    .at('answer')
    .report(
      `lamp ${reader.lamp.lamp} has no answer "${name}"${didYouMean(name, known) || `; ${has}`}`,
    );
  return undefined;
}
