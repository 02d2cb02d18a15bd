import { createHash } from 'node:crypto';
import { Refusal } from '../refusal.ts';

/** The bytes, where they have the digest that was promised. `what` says whose they are. */
export function checkedBytes(bytes: Uint8Array, digest: string, what = 'a file'): Uint8Array {
  const found = createHash('sha256').update(bytes).digest('hex');
  if (found === digest) return bytes;
  throw new Refusal('invalid', `expected ${what} of the digest ${digest}, found ${found}`);
}
