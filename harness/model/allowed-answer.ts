import type { Answered } from '../bench/heard.ts';
import type { PossibleAnswer } from './world.ts';

/** Whether what came back is this possibility. Other lines beside the one that was expected are a lamp's log. */
export function allows(one: PossibleAnswer, answer: Answered): boolean {
  const isSilent = answer.kind === 'dali' ? answer.byte === null : answer.lines.length === 0;
  if (one === 'any') return true;
  if (one === 'silence') return isSilent;
  if (isSilent) return false;
  if (answer.kind === 'dali') return one === 'some-byte' || isByte(one, answer.byte);
  if (one === 'other-line') return true;
  return typeof one === 'object' && 'line' in one && answer.lines.includes(one.line);
}

function isByte(one: PossibleAnswer, byte: number | null): boolean {
  return typeof one === 'object' && 'byte' in one && one.byte === byte;
}

/** A possibility in words. */
export function allowedWords(one: PossibleAnswer): string {
  if (one === 'silence') return 'nothing';
  if (one === 'any') return 'anything';
  if (one === 'other-line') return 'a line of its own';
  if (one === 'some-byte') return 'a byte';
  return 'byte' in one ? String(one.byte) : `“${one.line}”`;
}
