import * as z from 'zod';

const line = (standard: string) =>
  z
    .string()
    .regex(/^[\x20-\x7e]+$/, 'expected printable characters')
    .default(standard);

/**
 * What a serial bridge between a port and a DALI bus understands, one line each. `{frame}` and `{byte}` are hexadecimal.
 * The defaults are ours; a bridge with another dialect is described in the rig file.
 */
export const bridgeLines = z.strictObject({
  identify: line('V'),
  /** A frame without answer. */
  send: line('S {frame}'),
  /** A frame whose backward frame, or silence, is reported. */
  query: line('Q {frame}'),
  /** The same frame twice within 100 ms; left out where the bridge cannot, and it is then sent twice from here. */
  twice: line('D {frame}').nullable(),
  /**
   * The same for frames of 24 bits, which control devices send and take (IEC 62386-103), where the bridge has other lines for
   * them; null where it cannot carry them.
   */
  'send-24': line('S {frame}').nullable(),
  'query-24': line('Q {frame}').nullable(),
  'twice-24': line('D {frame}').nullable(),
  /** Power of the bus on and off; null where the bridge cannot. */
  'power-on': line('P 1').nullable(),
  'power-off': line('P 0').nullable(),
  /** Done, without answer. */
  done: line('ok'),
  answer: line('A {byte}'),
  silence: line('N'),
  /** Several gears answered at once. */
  collision: line('X').nullable(),
  /** What a refusal begins with. */
  refused: line('E'),
});

export type BridgeLines = z.infer<typeof bridgeLines>;

export const defaultBridgeLines = bridgeLines.parse({});

export type FrameLine = 'send' | 'query' | 'twice';

/** The lines for a frame of this length. */
export function linesFor(
  lines: BridgeLines,
  frame: readonly number[],
): Readonly<Record<FrameLine, string | null>> {
  if (frame.length !== 3) return lines;
  return { send: lines['send-24'], query: lines['query-24'], twice: lines['twice-24'] };
}

/** `S ff00` */
export function frameLine(template: string, frame: readonly number[]): string {
  const hex = frame.map((byte) => byte.toString(16).padStart(2, '0')).join('');
  return template.replaceAll('{frame}', hex);
}

/** The bytes of a line that follows `template`, or null: a bridge's side of `frameLine`. */
export function frameIn(template: string, line: string): number[] | null {
  const [before = '', after = ''] = template.split('{frame}');
  if (!line.startsWith(before) || !line.endsWith(after)) return null;
  const hex = line.slice(before.length, line.length - after.length);
  if (!/^([0-9a-f]{4}|[0-9a-f]{6})$/i.test(hex)) return null;
  return [...Buffer.from(hex, 'hex')];
}

/** What a bridge says of a backward frame, or of silence. */
export function answerLine({ answer, silence }: BridgeLines, byte: number | null): string {
  return byte === null ? silence : answer.replace('{byte}', byte.toString(16).padStart(2, '0'));
}

export type BridgeReply =
  | { readonly is: 'done' | 'silence' | 'collision' }
  | { readonly is: 'answer'; readonly byte: number }
  | { readonly is: 'refused'; readonly reason: string }
  | { readonly is: 'other' };

/** What a line from the bridge says. Capital and small hexadecimal digits are the same. */
export function readBridgeLine(lines: BridgeLines, text: string): BridgeReply {
  const trimmed = text.trim();
  if (trimmed === lines.done) return { is: 'done' };
  if (trimmed === lines.silence) return { is: 'silence' };
  if (lines.collision !== null && trimmed === lines.collision) return { is: 'collision' };
  const [before = '', after = ''] = lines.answer.split('{byte}');
  if (trimmed.startsWith(before) && trimmed.endsWith(after)) {
    const hex = trimmed.slice(before.length, trimmed.length - after.length);
    if (/^[0-9a-f]{2}$/i.test(hex)) return { is: 'answer', byte: Number.parseInt(hex, 16) };
  }
  if (trimmed.startsWith(lines.refused)) return { is: 'refused', reason: trimmed };
  return { is: 'other' };
}
