import type { Reply } from '../bench/ports.ts';

/** One answer, and no other. */
export type OneAnswer =
  | { readonly text: string }
  | { readonly byte: number }
  | { readonly silence: true };

/** Any of several answers. */
interface AnswerSet {
  readonly anyOf: readonly OneAnswer[];
}

/** A byte, or a figure in a line, within bounds; `line` is what stands about the figure. */
export interface AnswerRange {
  readonly lowest: number;
  readonly highest: number;
  /** With `{number}` where the figure stands, `{text}` for anything; null where the first figure of any line counts. */
  readonly line: string | null;
}

/** What the lamp must answer to a `send`. */
export type Expectation = OneAnswer | AnswerSet | AnswerRange;

export function expectationText(expected: Expectation): string {
  if ('anyOf' in expected) return expected.anyOf.map(expectationText).join(' or ');
  if ('lowest' in expected) return rangeText(expected);
  if ('silence' in expected) return 'silence';
  return 'text' in expected ? `“${expected.text}”` : byteText(expected.byte);
}

/** Whether the lamp answered as it was to. */
export function matches(expected: Expectation, reply: Reply): boolean {
  if ('anyOf' in expected) return expected.anyOf.some((one) => matches(one, reply));
  if ('lowest' in expected) return isWithin(expected, reply);
  if ('silence' in expected) return reply === null;
  if (reply === null) return false;
  if ('byte' in expected) return 'byte' in reply && reply.byte === expected.byte;
  return 'text' in reply && reply.text.trim() === expected.text.trim();
}

/** The lines that are expected word for word. */
export function expectedLines(expected: Expectation): readonly string[] {
  if ('anyOf' in expected) return expected.anyOf.flatMap(expectedLines);
  return 'text' in expected ? [expected.text.trim()] : [];
}

/** Null where the lamp stayed silent. */
export function replyText(reply: Reply): string | null {
  if (reply === null) return null;
  return 'text' in reply ? reply.text : byteText(reply.byte);
}

function isWithin({ lowest, highest, line }: AnswerRange, reply: Reply): boolean {
  if (reply === null) return false;
  const found = 'byte' in reply ? reply.byte : figureIn(reply.text.trim(), line);
  return found !== null && found >= lowest && found <= highest;
}

const figure = String.raw`[-+]?\d+(?:\.\d+)?`;

/** The figure at its place in a line; null where the line is another one. */
function figureIn(said: string, line: string | null): number | null {
  if (line === null) {
    const first = new RegExp(figure).exec(said);
    return first ? Number(first[0]) : null;
  }
  const pattern = line
    .trim()
    .split(/(\{number\}|\{text\})/)
    .map((part) => (part === '{number}' ? `(${figure})` : part === '{text}' ? '.*' : plain(part)))
    .join('');
  const found = new RegExp(`^${pattern}$`).exec(said);
  return found?.[1] === undefined ? null : Number(found[1]);
}

function plain(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\]/g, String.raw`\$&`);
}

function rangeText({ lowest, highest, line }: AnswerRange): string {
  const bounds =
    lowest === Number.NEGATIVE_INFINITY
      ? `at most ${highest}`
      : highest === Number.POSITIVE_INFINITY
        ? `at least ${lowest}`
        : `${lowest} … ${highest}`;
  return line === null ? bounds : `“${line}” with ${bounds}`;
}

function byteText(byte: number): string {
  return `0x${byte.toString(16).padStart(2, '0')}`;
}
