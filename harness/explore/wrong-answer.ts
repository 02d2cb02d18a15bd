import type { Answered, Heard } from '../bench/heard.ts';
import { plainLine } from '../files/plain-text.ts';
import { allowedWords, allows } from '../model/allowed-answer.ts';
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
    const answer = answerOf(event, bytes);
    if (oneOf.some((one) => allows(one, answer))) continue;
    const allowed = oneOf.map(allowedWords).join(' or ');
    return { of, at: event.at, found: foundWords(answer), allowed };
  }
  return null;
}

/** When the next message on the same link had come, s. */
function nextOn({ kind }: Heard, heard: readonly Heard[], of: number): number {
  const next = heard.find((other, index) => index > of && other.kind === kind);
  return next?.at ?? Number.POSITIVE_INFINITY;
}

function answerOf({ kind, at }: Heard, bytes: readonly SaidByte[]): Answered {
  if (kind === 'dali') return { kind, at, byte: bytes[0]?.byte ?? null };
  const lines = String.fromCharCode(...bytes.map(({ byte }) => byte)).split('\n');
  return { kind: 'console', at, lines: lines.map((one) => one.trim()).filter(Boolean) };
}

function foundWords(answer: Answered): string {
  if (answer.kind === 'dali') return answer.byte === null ? 'nothing' : String(answer.byte);
  return answer.lines.map((line) => `“${plainLine(line)}”`).join(', ') || 'nothing';
}
