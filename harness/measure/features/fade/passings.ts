import { hannTrack } from '../../analysis/hann-track.ts';
import { hiddenByCodes } from '../../analysis/hidden-by-codes.ts';
import { hannNoise } from '../../signal/hann.ts';
import { valueAt } from '../../signal/samples.ts';
import type { ObservedFade } from './observed-fade.ts';

/** When a channel has gone each share of its way, and how well that is known. */
export interface Passings {
  /** s, NaN where the share is not passed. */
  readonly at: Float64Array;
  /** Standard uncertainty of each, s, from the scatter of the averages. */
  readonly standard: Float64Array;
}

/** Relative scatter of an average that even a noiseless modulator leaves. */
const toneScatter = 0.003;
/** Averages within the width of one. */
const perWidth = 4;

/**
 * Instants at which the light, averaged (Hann) over `width`, first passes each of the `shares` of the way from plateau to plateau in the
 * dimming-curve domain. An average over a ramp of the curve is the light in its middle times one factor, which is taken out.
 */
export function passings(
  { waveform, fit, commanded }: ObservedFade,
  shares: readonly number[],
  width: number,
): Passings {
  const { logarithmic } = commanded;
  const { startLevel, endLevel } = fit;
  const around = { from: commanded.before.from, to: commanded.after.to };
  const { times, values, ...track } = hannTrack(waveform, around, width, width / perWidth);
  const middle = (fit.start + fit.end) / 2;
  const factor = fit.meanAt(middle, track.width) / fit.levelAt(middle);
  const way = (value: number) =>
    logarithmic
      ? Math.log(Math.max(value / factor / startLevel, 1e-12)) / Math.log(endLevel / startLevel)
      : (value / factor - startLevel) / (endLevel - startLevel);
  const ways = values.map(way);
  const at = Float64Array.from(shares, (share) => firstPassing(times, ways, share));
  const noise = (hannNoise * fit.noise) / Math.sqrt(track.width * waveform.rate);
  const hidden = hiddenByCodes(waveform);
  const span = logarithmic ? Math.log(endLevel / startLevel) : endLevel - startLevel;
  const standard = Float64Array.from(shares, (share) => {
    const level = logarithmic
      ? startLevel * (endLevel / startLevel) ** share
      : startLevel + share * (endLevel - startLevel);
    const slope = (Math.abs(span) * (logarithmic ? level : 1)) / fit.duration;
    return Math.hypot(noise, hidden / 2, toneScatter * level) / slope;
  });
  return { at, standard };
}

function firstPassing(times: Float64Array, ways: Float64Array, share: number): number {
  for (let place = 1; place < ways.length; place++) {
    const [before, now] = [valueAt(ways, place - 1), valueAt(ways, place)];
    if (before < share && now >= share) {
      const [from, to] = [valueAt(times, place - 1), valueAt(times, place)];
      return from + ((share - before) / (now - before)) * (to - from);
    }
  }
  return Number.NaN;
}
