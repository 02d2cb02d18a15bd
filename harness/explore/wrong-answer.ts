import type { Heard } from '../bench/heard.ts';
import type { ExpectedAnswer } from '../model/model-lamp.ts';

/** An answer, or a silence, that the model does not allow. */
export interface WrongAnswer {
  /** Index of the question among what arrived at the lamp. */
  readonly of: number;
  /** s */
  readonly at: number;
  /** In words. */
  readonly found: string;
  readonly allowed: string;
}

/** A byte that the lamp sent, at `at` s. */
export interface SaidByte {
  readonly link: 'console' | 'dali' | 'dmx';
  readonly byte: number;
  readonly at: number;
}

/**
 * The first answer that the model does not allow; null where there is none. A backward frame begins 22 Te at most after its forward
 * frame and is over 10 ms later (IEC 62386-101, from memory); a line of the console comes before the next command.
 */
export function firstWrongAnswer(
  expected: readonly ExpectedAnswer[],
  heard: readonly Heard[],
  said: readonly SaidByte[],
): WrongAnswer | null {
  for (const { of, oneOf } of expected) {
    const event = heard[of];
    if (!event || oneOf.includes('any')) continue;
    if (event.kind !== 'dali' && event.kind !== 'console') continue;
    const until = nextOn(event, heard, of);
    const bytes = said.filter(
      ({ link, at }) => link === event.kind && at >= event.at && at < until,
    );
    const found = event.kind === 'dali' ? foundByte(bytes) : foundLine(bytes);
    if (!oneOf.some((one) => allows(one, found)))
      return { of, at: event.at, found: foundWords(found), allowed: oneOf.map(words).join(' or ') };
  }
  return null;
}

type Found = { readonly byte: number } | { readonly line: string } | null;
type Possible = ExpectedAnswer['oneOf'][number];

/** When the next message on the same link had come, s. */
function nextOn({ kind }: Heard, heard: readonly Heard[], of: number): number {
  const next = heard.find((other, index) => index > of && other.kind === kind);
  return next?.at ?? Number.POSITIVE_INFINITY;
}

function foundByte(bytes: readonly SaidByte[]): Found {
  const [first] = bytes;
  return first ? { byte: first.byte } : null;
}

function foundLine(bytes: readonly SaidByte[]): Found {
  const text = String.fromCharCode(...bytes.map(({ byte }) => byte));
  const [line] = text
    .split('\n')
    .map((one) => one.trim())
    .filter(Boolean);
  return line === undefined ? null : { line };
}

function allows(one: Possible, found: Found): boolean {
  if (one === 'any') return true;
  if (one === 'silence') return found === null;
  if (one === 'other-line') return found !== null && 'line' in found;
  if (one === 'some-byte') return found !== null && 'byte' in found;
  if ('byte' in one) return found !== null && 'byte' in found && found.byte === one.byte;
  return found !== null && 'line' in found && found.line === one.line;
}

function foundWords(found: Found): string {
  if (!found) return 'nothing';
  return 'byte' in found ? String(found.byte) : `“${found.line}”`;
}

function words(one: Possible): string {
  if (one === 'silence') return 'nothing';
  if (one === 'any') return 'anything';
  if (one === 'other-line') return 'a line of its own';
  if (one === 'some-byte') return 'a byte';
  return 'byte' in one ? String(one.byte) : `“${one.line}”`;
}
