import { hannTrack } from '../../analysis/hann-track.ts';
import type { Window } from '../../observation.ts';
import { valueAt } from '../../signal/samples.ts';
import type { ObservedFade } from './observed-fade.ts';

/** What averages of a plateau do about its mean, in the record's unit. */
export interface PlateauScatter {
  /** rms of an average about the straight line through all of them: noise of any colour, and what the modulator leaves. */
  readonly noise: number;
  /** What the light differs by from the plateau's mean where the fade meets it, if it goes on along that line. */
  readonly tilt: number;
}

/** Part of a steady stretch in which the light may still be on its way. */
const settling = 0.4;
/** Averages that overlap by half: fewer than so many tell no scatter. */
const fewest = 6;
const none: PlateauScatter = { noise: 0, tilt: 0 };

/**
 * Averages as wide as those that a fade is judged by, on the settled parts of its plateaus. White noise is told from the samples, but what
 * is alike from sample to sample (noise that falls with frequency, drift) only from averages.
 *
 * @param width of the averages, s
 */
export function plateauScatter(
  fade: ObservedFade,
  width: number,
): { readonly start: PlateauScatter; readonly end: PlateauScatter } {
  const { before, after } = fade.commanded;
  const settled = ({ from, to }: Window): Window => ({ from: from + settling * (to - from), to });
  return {
    start: scatterOf(fade, settled(before), width, fade.fit.start),
    end: scatterOf(fade, settled(after), width, fade.fit.end),
  };
}

function scatterOf(
  { waveform }: ObservedFade,
  part: Window,
  width: number,
  met: number,
): PlateauScatter {
  const { times, values } = hannTrack(waveform, part, width, width / 2);
  const count = values.length;
  if (count < fewest) return none;
  const [middle, mean] = [meanOf(times), meanOf(values)];
  let [xx, xy] = [0, 0];
  for (let k = 0; k < count; k++) {
    const x = valueAt(times, k) - middle;
    xx += x * x;
    xy += x * (valueAt(values, k) - mean);
  }
  const slope = xy / xx;
  let rest = 0;
  for (let k = 0; k < count; k++)
    rest += (valueAt(values, k) - mean - slope * (valueAt(times, k) - middle)) ** 2;
  const variance = rest / (count - 2);
  // Noise alone makes a slope of this variance.
  const clear = Math.sqrt(Math.max(0, slope * slope - variance / xx));
  return { noise: Math.sqrt(variance), tilt: clear * Math.abs(middle - met) };
}

function meanOf(values: Float64Array): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
