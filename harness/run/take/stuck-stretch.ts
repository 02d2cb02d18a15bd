import type { RawCapture } from '../../bench/ports.ts';
import type { NoisyCodes } from './noisy-codes.ts';

/** Samples that are all alike. */
interface Stretch {
  readonly from: number;
  readonly length: number;
  readonly code: number;
}

/** The longest stretch of one code, where noise cannot leave it that long. */
export function stuckStretch(codes: RawCapture['codes'], { unlikely }: NoisyCodes): Stretch | null {
  let longest: Stretch = { from: 0, length: 0, code: 0 };
  for (let from = 0, k = 1; k <= codes.length; k++) {
    if (k < codes.length && codes[k] === codes[from]) continue;
    if (k - from > longest.length) longest = { from, length: k - from, code: codes[from] ?? 0 };
    from = k;
  }
  return longest.length >= unlikely ? longest : null;
}
