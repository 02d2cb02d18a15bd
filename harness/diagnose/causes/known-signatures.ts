import { readSignatures, type Signature } from './signature.ts';
import stored from './signatures.json' with { type: 'json' };

let known: readonly Signature[] | null = null;

/** The signatures of the seeded faults, as `npm run signature-table` made them. */
export function knownSignatures(): readonly Signature[] {
  known ??= readSignatures(stored);
  return known;
}
