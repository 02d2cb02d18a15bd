import { hannTrack } from '../../analysis/hann-track.ts';
import { hannNoise } from '../../signal/hann.ts';
import { valueAt } from '../../signal/samples.ts';
import type { ObservedFade } from './observed-fade.ts';

/** How the ends of a fade differ from those of the straight line through its middle. Instants are the light's own minus the line's, s. */
export interface FadeEnds {
  /** Below zero: the light leaves its first plateau before the line does. */
  readonly startShift: number;
  /** Above zero: the light arrives after the line does. */
  readonly endShift: number;
  /** What noise makes of each, standard uncertainty, as a share of the way. */
  readonly standardShare: number;
}

/** Standard uncertainty per shift, k = 2: a tenth more than half of it, as the averages blur a creeping end by about as much. */
export const standardPerShift = 0.55;

/** Share of the way by which an average has to be off its plateau before it counts as under way. */
const leastShare = 0.005;
/** So many standard deviations of the averages: noise alone does not leave a plateau. */
const clearOfNoise = 6;
/** A plateau is judged by what comes after this part of it; the light may arrive until then. */
const settling = 0.4;
/** Beyond this share there is no telling plateau from fade. */
const mostShare = 0.25;

/** Shortest width of an average, s: the modulator's periods must vanish in it. */
const shortest = 0.02;

/** Width of the averages that a fade's shape is looked at with, s: a share of the fade, and never so wide that the fade is smeared. */
export function shapeWidth(
  { fit: { duration }, waveform }: ObservedFade,
  resolution = 0.04,
): number {
  return Math.max(resolution * duration, Math.min(shortest, duration / 4), 4 / waveform.rate);
}

/**
 * Where the averaged light really leaves one plateau and arrives at the other, against the fitted line averaged alike: a fade
 * that creeps at either end, has a kink or pauses is longer (or shorter) than the line says.
 *
 * @param width of the averages, s
 * @param scatter of the averages on either plateau, where it is known to be more than what white noise makes of it; in the record's unit
 */
export function fadeEnds(
  { waveform, commanded, fit }: ObservedFade,
  width: number,
  scatter: readonly [number, number] = [0, 0],
): FadeEnds {
  const { before, after, logarithmic } = commanded;
  const { startLevel, endLevel } = fit;
  const span = logarithmic ? Math.log(endLevel / startLevel) : endLevel - startLevel;
  const track = hannTrack(
    waveform,
    {
      from: Math.min(before.from + settling * (before.to - before.from), fit.start - width),
      to: Math.max(after.from + settling * (after.to - after.from), fit.end + width),
    },
    width,
    width / 8,
  );
  const shareOf = (level: number): number =>
    logarithmic
      ? Math.log(Math.max(level, 1e-12 * Math.max(startLevel, endLevel)) / startLevel) / span
      : (level - startLevel) / span;
  const seen = track.values.map(shareOf);
  const line = track.times.map((at) => shareOf(fit.meanAt(at, track.width)));
  const noise = (hannNoise * fit.noise) / Math.sqrt(track.width * waveform.rate);
  /** Share of the way that noise moves an average by where the light has a level, and the share that stands out of it. */
  const endAt = (level: number, own: number): { share: number; needed: number } => {
    const share = Math.max(noise, own) / ((logarithmic ? level : 1) * Math.abs(span));
    const plateaus = (3 * fit.standardPlateaus) / fit.duration;
    return { share, needed: Math.max(leastShare, clearOfNoise * share, plateaus) };
  };
  const first = endAt(startLevel, scatter[0]);
  const last = endAt(endLevel, scatter[1]);
  const shift = (needed: number, crossing: Crossing): number => {
    if (farther * needed > mostShare) return 0;
    // Extrapolated, as a creeping end is nearly level where it can first be told from its plateau.
    const extrapolated = (shares: Float64Array): number | null => {
      const far = crossing(track.times, shares, farther * needed, null);
      const near = far && crossing(track.times, shares, needed, far);
      return far && near && near.at + (near.at - far.at) / (farther - 1);
    };
    const [own, ideal] = [extrapolated(seen), extrapolated(line)];
    return own === null || ideal === null ? 0 : own - ideal;
  };
  return {
    startShift: shift(first.needed, leaving),
    endShift: shift(last.needed, arrival),
    standardShare: Math.hypot(first.share, last.share),
  };
}

/** The second share that an end is looked at, as a multiple of the first. */
const farther = 3;

/** An instant, s, and the index of the average after it. */
interface Place {
  readonly at: number;
  readonly index: number;
}

/** Where the light crosses a share from a plateau: the outermost crossing, or the next one outward from `inner`. */
type Crossing = (
  times: Float64Array,
  shares: Float64Array,
  share: number,
  inner: Place | null,
) => Place | null;

/** Noise may cross the nearer share long before; what counts is how the light goes from it to the farther one. */
const leaving: Crossing = (times, shares, share, inner) => {
  const crosses = (k: number) => valueAt(shares, k) >= share && valueAt(shares, k - 1) < share;
  if (inner) {
    for (let k = inner.index; k > 0; k--) if (crosses(k)) return between(times, shares, share, k);
    return null;
  }
  for (let k = 1; k < shares.length; k++) if (crosses(k)) return between(times, shares, share, k);
  return null;
};

const arrival: Crossing = (times, shares, left, inner) => {
  const share = 1 - left;
  const crosses = (k: number) => valueAt(shares, k) >= share && valueAt(shares, k - 1) < share;
  if (inner) {
    for (let k = inner.index; k < shares.length; k++)
      if (crosses(k)) return between(times, shares, share, k);
    return null;
  }
  for (let k = shares.length - 1; k > 0; k--)
    if (crosses(k)) return between(times, shares, share, k);
  return null;
};

function between(times: Float64Array, shares: Float64Array, share: number, index: number): Place {
  const [from, to] = [valueAt(times, index - 1), valueAt(times, index)];
  const [low, high] = [valueAt(shares, index - 1), valueAt(shares, index)];
  return { at: from + ((share - low) / (high - low)) * (to - from), index };
}
