import { type Samples, sampleAt, type Timed } from './samples.ts';

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
    if (high !== null) {
      const at = start + (crossing - 0.5 + partOfWay(samples, crossing, level)) / rate;
      found.push({ at, rising: sure, index: crossing });
    }
    high = sure;
  }
  return found;
}

/** Part of the way from the sample before `index` to it at which a straight line crosses the level. */
function partOfWay(samples: Samples, index: number, level: number): number {
  const after = sampleAt(samples, index);
  const before = samples[index - 1] ?? after;
  return after === before ? 0 : (level - before) / (after - before);
}
