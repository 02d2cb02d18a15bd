import type { Samples, Timed } from './samples.ts';

/** A crossing of a level. */
export interface Edge {
  /** Instant, s, between the middles of two samples by straight line. */
  readonly at: number;
  readonly rising: boolean;
  /** Sample after the crossing. */
  readonly index: number;
}

/**
 * Crossings of `level`, each counted when the waveform has gone on by `hysteresis` beyond it: noise smaller than
 * that makes no edges. Rising and falling alternate.
 */
export function edges(
  { samples, rate, start }: Timed,
  level: number,
  hysteresis: number,
): readonly Edge[] {
  const found: Edge[] = [];
  let high: boolean | null = null;
  let crossing = 0;
  for (let index = 0; index < samples.length; index++) {
    const value = samples[index]!;
    const before = index > 0 ? samples[index - 1]! : value;
    // The crossing next to the point where the waveform is sure counts, not the first flicker of noise.
    if (before <= level !== value <= level) crossing = index;
    const sure = value > level + hysteresis ? true : value < level - hysteresis ? false : null;
    if (sure === null || sure === high) continue;
    if (high !== null) found.push(edgeAt(samples, crossing, level, sure, rate, start));
    high = sure;
  }
  return found;
}

function edgeAt(
  samples: Samples,
  index: number,
  level: number,
  rising: boolean,
  rate: number,
  start: number,
): Edge {
  const before = samples[index - 1] ?? samples[index]!;
  const after = samples[index]!;
  const part = after === before ? 0 : (level - before) / (after - before);
  return { at: start + (index - 0.5 + part) / rate, rising, index };
}
