import { isSmooth, smoothLength } from './complex-fft.ts';

/** Periods fewer than all that may be left out to meet a better length, as a part of them. */
const spare = 0.15;

/**
 * A length in samples that is fast to transform and holds whole periods as nearly as can be, most of the record.
 *
 * @param period samples per period, not a whole number in general
 */
export function periodicLength(samples: number, period: number): number {
  const most = Math.floor(samples / period + 1e-6);
  let best = smoothLength(samples, 2);
  let miss = Infinity;
  for (let periods = most; periods >= Math.max(1, most * (1 - spare)); periods--) {
    const length = Math.round(periods * period);
    if (length < 2 || length > samples || length % 2 !== 0 || !isSmooth(length)) continue;
    const off = Math.abs(length - periods * period);
    if (off < miss - 1e-3) {
      best = length;
      miss = off;
    }
  }
  return best;
}
