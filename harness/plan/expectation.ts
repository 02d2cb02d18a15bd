import type { Reply } from '../bench/ports.ts';

/** What the lamp must answer to a `send`. */
export type Expectation =
  | { readonly text: string }
  | { readonly byte: number }
  | { readonly silence: true };

export function expectationText(expected: Expectation): string {
  if ('silence' in expected) return 'silence';
  return 'text' in expected ? `“${expected.text}”` : byteText(expected.byte);
}

/** Null where the lamp stayed silent. */
export function replyText(reply: Reply): string | null {
  if (reply === null) return null;
  return 'text' in reply ? reply.text : byteText(reply.byte);
}

function byteText(byte: number): string {
  return `0x${byte.toString(16).padStart(2, '0')}`;
}
