import { plainLine } from '../../harness/files/plain-text.ts';
import { type FindEnd, lineEnd } from '../transport/byte-reader.ts';

/** More than any line of an instrument: text records have a definite length by then, or are nonsense. */
const longestLine = 64 * 1024 * 1024;
/** A block above this is a length field gone wrong. */
const largestBlock = 1024 * 1024 * 1024;

/** A line of text. */
export const textReply: FindEnd = lineEnd(longestLine);

/**
 * A definite-length block `#<n><length><data>` and the line feed behind it; data may hold line feeds. IEEE 488.2.
 * Indefinite blocks (`#0`) are refused: nothing marks their end on a plain stream. Errors finish "it answered with …".
 */
export const blockReply: FindEnd = (bytes) => {
  const [hash, count] = bytes;
  if (hash !== 0x23) throw new RangeError(`"${start(bytes)}"; expected a block`);
  if (count === undefined) return -1;
  const digits = count - 0x30;
  if (digits === 0) throw new RangeError('a block of indefinite length, whose end cannot be found');
  if (!(digits >= 1 && digits <= 9))
    throw new RangeError(`"${start(bytes)}"; expected the length of a block`);
  if (bytes.length < 2 + digits) return -1;
  const field = bytes.toString('latin1', 2, 2 + digits);
  if (!/^\d+$/.test(field) || Number(field) > largestBlock)
    throw new RangeError(`"${start(bytes)}"; expected the length of a block`);
  const end = 2 + digits + Number(field);
  if (bytes.length <= end) return -(end + 1);
  // Line feed, or carriage return and line feed.
  if (bytes[end] === 0x0a) return end + 1;
  if (bytes[end] === 0x0d) {
    if (bytes.length <= end + 1) return -(end + 2);
    if (bytes[end + 1] === 0x0a) return end + 2;
  }
  throw new RangeError(
    `more than the ${field} bytes of the block; expected a line feed after them`,
  );
};

/** The data of a whole block reply. */
export function blockData(reply: Buffer): Buffer {
  const digits = Number(reply.toString('latin1', 1, 2));
  const from = 2 + digits;
  return reply.subarray(from, from + Number(reply.toString('latin1', 2, from)));
}

function start(bytes: Buffer): string {
  return plainLine(bytes.toString('latin1', 0, 40));
}
