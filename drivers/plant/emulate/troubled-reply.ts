import type { Duplex } from 'node:stream';
import type { Trouble, TroubleKind } from './trouble.ts';

/** Kinds of trouble that spoil an answer on its way. */
export const replyTroubles: readonly TroubleKind[] = ['silence', 'late', 'garbage', 'half', 'drip'];

/**
 * Sends an answer (whole, with its end of line) as the trouble has it. Resolves when it has gone out, so that answers
 * keep their order; a stream that was closed meanwhile ends it early.
 */
export async function sendReply(
  stream: Pick<Duplex, 'write' | 'destroyed'>,
  reply: Uint8Array,
  trouble: Trouble | null,
): Promise<void> {
  switch (trouble?.kind) {
    case 'silence':
      return;
    case 'late':
      await pause(trouble.seconds);
      break;
    case 'half':
      // At least the end of line is missing.
      write(stream, reply.subarray(0, Math.floor(reply.length / 2)));
      return;
    case 'garbage':
      write(stream, noiseLike(reply));
      return;
    case 'drip':
      for (const byte of reply) {
        write(stream, Uint8Array.of(byte));
        await pause(trouble.seconds);
        if (stream.destroyed) return;
      }
      return;
  }
  write(stream, reply);
}

function write(stream: Pick<Duplex, 'write' | 'destroyed'>, bytes: Uint8Array): void {
  if (!stream.destroyed && bytes.length > 0) stream.write(bytes);
}

/** Bytes of no meaning, as many as the answer has and 4 at least, the same ones every time; the last ends the line. */
function noiseLike({ length }: Uint8Array): Uint8Array {
  const noise = new Uint8Array(Math.max(4, length));
  let state = 0x2545f491;
  for (let k = 0; k < noise.length - 1; k++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    const byte = state >>> 24;
    noise[k] = byte === 0x0a ? 0x7e : byte;
  }
  noise[noise.length - 1] = 0x0a;
  return noise;
}

/** Does not keep the process alive. */
function pause(seconds: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, seconds * 1000).unref());
}
