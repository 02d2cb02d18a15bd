import * as z from 'zod';
import type { RawMessage } from '../../bench/ports.ts';
import { type Expectation, expectationText, matches } from '../expectation.ts';
import type { LinkLanguage } from '../links/link-language.ts';
import { findLanguage, linkLanguages, rawLinks } from '../links/link-languages.ts';
import { readExpectation, writtenExpectation } from '../read-expectation.ts';
import type { ValueReader } from '../value-reader.ts';
import { readLinkName } from './named-link.ts';
import { instant, type Verb } from './verb.ts';

export interface SendStep {
  readonly verb: 'send';
  readonly message: RawMessage;
  readonly expect?: Expectation;
}

const expect = { expect: writtenExpectation.optional() };

const linkKeys: z.ZodRawShape = Object.assign(
  {},
  ...Object.values(linkLanguages).map(({ keys }) => keys),
);

/** Keys of the links, and `expect`. */
type Written = z.infer<z.ZodObject<typeof expect>> & Readonly<Record<string, unknown>>;

const schema: z.ZodType<Written> = z.strictObject({ ...linkKeys, ...expect });

/** Something is sent as it is; the answer is a finding where the step says what it must be. */
export const send: Verb<Written, SendStep> = {
  verb: 'send',
  about: 'Send something as it is.',
  schema: () => schema,
  read(written, reader) {
    const named = rawLinks.filter((name) => written[name] !== undefined);
    const language = named.length === 1 ? findLanguage(named[0]) : undefined;
    if (!language) {
      const found = named.length === 0 ? 'none' : named.join(' and ');
      reader.report(`expected exactly one of ${rawLinks.join(', ')} in a send, found ${found}`);
      return null;
    }
    checkKeys(written, language, reader);
    readLinkName(language.link, reader.at(language.link));
    const message = language.read(written, reader);
    if (!message) return null;
    if (written.expect === undefined) return { verb: 'send', message };
    const expected = readExpectation(written.expect, language, reader.at('expect'));
    return expected ? { verb: 'send', message: awaiting(message), expect: expected } : null;
  },
  words({ message, expect: expected }) {
    const sent = linkLanguages[message.link].words(message);
    return `send ${sent}${expected ? `, and expect ${expectationText(expected)}` : ''}`;
  },
  lasts: instant,
  needs: ({ message }) => ({ link: message.link }),
  misses: ({ message }, listening) =>
    linkLanguages[message.link].misses?.(message, listening) ?? null,
  judges: ({ expect: expected }) => expected !== undefined,
  async perform({ message, expect: expected }, run) {
    const { port, call } = run.link(message.link);
    const reply = await port.send(listeningFor(message, expected), call);
    const text = linkLanguages[message.link].text(message);
    run.note({ link: message.link, text, reply });
    if (expected) run.answered({ link: message.link, sent: text, expected, reply });
  },
};

function checkKeys(
  written: Written,
  { link, keys, readExpectation }: LinkLanguage,
  reader: ValueReader,
): void {
  const takes = [...Object.keys(keys), ...(readExpectation ? ['expect'] : [])];
  const others = takes.filter((key) => key !== link).join(', ');
  for (const key of Object.keys(written)) {
    if (takes.includes(key)) continue;
    reader.at(key).report(`${key} does not go with ${link}; it takes ${others}`, null, 'key');
  }
}

/** A DALI link waits for the backward frame only where it is told to. */
function awaiting(message: RawMessage): RawMessage {
  return message.link === 'dali' ? { ...message, answer: true } : message;
}

/** A console waits for a certain line where it is told which. */
function listeningFor(message: RawMessage, expected: Expectation | undefined): RawMessage {
  if (message.link !== 'console' || !expected || 'silence' in expected) return message;
  return { ...message, isAnswer: (text) => matches(expected, { text }) };
}
