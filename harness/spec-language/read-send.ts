import type { RawMessage } from '../bench/ports.ts';
import { didYouMean } from '../files/did-you-mean.ts';
import type { Expectation, Step } from '../plan/plan.ts';
import type { ConditionReader, Path } from './condition-reader.ts';
import { daliCommands, isConfiguration, isQuery } from './dali-commands.ts';
import { readLink } from './read-steps.ts';
import type { SendShape } from './spec-schema.ts';

const links = ['console', 'dali', 'dmx', 'sacn'] as const;
type Link = (typeof links)[number];

/** Keys that go with each link; `expect` with the links that answer. */
const companions: Readonly<Record<Link, readonly string[]>> = {
  console: ['expect'],
  dali: ['to', 'value', 'twice', 'expect'],
  dmx: ['start-code'],
  sacn: ['start-code', 'priority', 'preview', 'terminated', 'sequence'],
};

/** A `send` step; null where it has issues. */
export function readSend(shape: SendShape, path: Path, reader: ConditionReader): Step | null {
  const named = links.filter((name) => shape[name] !== undefined);
  const [link] = named;
  if (link === undefined || named.length > 1) {
    const found = named.length === 0 ? 'none' : named.join(' and ');
    reader.report(path, `expected exactly one of ${links.join(', ')} in a send, found ${found}`);
    return null;
  }
  for (const key of Object.keys(shape)) {
    if (key === link || companions[link].includes(key)) continue;
    const takes = companions[link].join(', ');
    reader.report(
      [...path, key],
      `${key} does not go with ${link}; it takes ${takes}`,
      null,
      'key',
    );
  }
  readLink(link, [...path, link], reader);
  const message = readMessage(link, shape, path, reader);
  if (!message) return null;
  if (shape.expect === undefined) return { verb: 'send', message };
  const expect = readExpectation(link, shape.expect, [...path, 'expect'], reader);
  if (!expect) return null;
  const answered = message.link === 'dali' ? { ...message, answer: true } : message;
  return { verb: 'send', message: answered, expect };
}

function readMessage(
  link: Link,
  shape: SendShape,
  path: Path,
  reader: ConditionReader,
): RawMessage | null {
  if (link === 'console') {
    const line = reader.text(shape.console ?? '', [...path, 'console']);
    if (!/[\r\n]/.test(line)) return { link, line };
    reader.report([...path, 'console'], 'expected one line, found a line end in it');
    return null;
  }
  if (link === 'dali') return readDali(shape, path, reader);
  const startCode = shape['start-code'] ?? 0;
  const common = {
    link,
    startCode: reader.whole(startCode, [...path, 'start-code'], 0, 255),
    slots: (shape[link] ?? []).map((slot, index) =>
      reader.whole(slot, [...path, link, index], 0, 255),
    ),
  };
  if (link === 'dmx') return common;
  const { priority, sequence, preview, terminated } = shape;
  return {
    ...common,
    ...(priority !== undefined && {
      priority: reader.whole(priority, [...path, 'priority'], 0, 200),
    }),
    ...(sequence !== undefined && {
      sequence: reader.whole(sequence, [...path, 'sequence'], 0, 255),
    }),
    ...(preview !== undefined && { preview }),
    ...(terminated !== undefined && { terminated }),
  };
}

function readDali(shape: SendShape, path: Path, reader: ConditionReader): RawMessage | null {
  const at = [...path, 'dali'];
  const text = reader.text(shape.dali ?? '', at).trim();
  const bytes = /^[0-9a-f]{2}( [0-9a-f]{2}){1,2}$/i.test(text)
    ? text.split(' ').map((byte) => Number.parseInt(byte, 16))
    : null;
  if (bytes) {
    for (const key of ['to', 'value'] as const) {
      if (shape[key] !== undefined)
        reader.report(
          [...path, key],
          `${key} goes with a command by name, not with bytes`,
          null,
          'key',
        );
    }
    const twice = shape.twice === undefined ? {} : { twice: shape.twice };
    return { link: 'dali', frame: bytes, ...twice };
  }
  const command = Object.hasOwn(daliCommands, text) ? daliCommands[text] : undefined;
  if (!command) {
    const guess = didYouMean(text, Object.keys(daliCommands));
    const expected = 'expected two or three bytes in hex (ff 05) or a command by name';
    reader.report(at, `${expected}, found "${text.slice(0, 60)}"${guess}`, shape.dali);
    return null;
  }
  if ((command.highest === undefined) !== (shape.value === undefined)) {
    const what = command.highest === undefined ? 'takes no value' : 'needs a value; add "value: …"';
    reader.report(shape.value === undefined ? at : [...path, 'value'], `${text} ${what}`);
    return null;
  }
  const value =
    command.highest === undefined || shape.value === undefined
      ? 0
      : reader.whole(shape.value, [...path, 'value'], 0, command.highest);
  const twice = shape.twice ?? isConfiguration(command);
  const manner = { ...(twice && { twice }), ...(isQuery(command) && { answer: true }) };
  if (command.kind === 'special') return { link: 'dali', frame: [command.code, value], ...manner };
  const address = readAddress(shape.to ?? 'lamp', [...path, 'to'], reader);
  if (address === null) return null;
  const frame = command.kind === 'level' ? [address, value] : [address | 1, command.code + value];
  return { link: 'dali', frame, ...manner };
}

/** Address byte with the selector bit 0: short 0AAAAAA0, group 100AAAA0, broadcast 11111110 (IEC 62386-102). */
function readAddress(written: string, path: Path, reader: ConditionReader): number | null {
  const word = reader.text(written, path);
  const { dali } = reader.lamp.links;
  if (word === 'broadcast') return 0xfe;
  if (word === 'lamp') return (dali?.shortAddress ?? 0) << 1;
  if (word === 'group' && (dali?.group !== undefined || !reader.lampFits))
    return 0x80 | ((dali?.group ?? 0) << 1);
  const found =
    word === 'group' ? `group, but lamp ${reader.lamp.lamp} is in none` : `"${word.slice(0, 60)}"`;
  reader.report(path, `expected lamp, group or broadcast, found ${found}`, written);
  return null;
}

function readExpectation(
  link: Link,
  written: string | number,
  path: Path,
  reader: ConditionReader,
): Expectation | null {
  const text = reader.text(written, path).trim();
  if (text === 'silence') return { silence: true };
  if (link === 'console') {
    if (text !== 'understood') return { text };
    return { text: reader.lamp.links.console?.ok ?? 'ok' };
  }
  if (text === 'yes') return { byte: 0xff };
  if (text === 'no') return { silence: true };
  const byte = reader.whole(written, path, 0, 255);
  return Number.isNaN(byte) ? null : { byte };
}
