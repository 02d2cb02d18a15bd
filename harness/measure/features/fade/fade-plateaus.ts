import { hannMean } from '../../analysis/means.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { cut, lengthOf, windowed } from '../../analysis/waveform-part.ts';
import type { Window } from '../../observation.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import type { Waveform } from '../../waveform.ts';
import type { CommandedFade } from './commanded-fade.ts';

/** Samples that a window needs to be an average. */
export const windowSamples = 4;
/** Part of a steady stretch, from its start, in which the light may still be on its way. */
const settling = 0.4;
/** A plateau whose halves differ by more than this part of the whole fade is none. */
const plateauSlope = 0.08;
/** Nor is one that moves at more than this part of the fade's own speed: the fade is still under way. */
const plateauSpeed = 0.3;

/** Two means of the same light differ by no more than this part of it. */
const rounding = 1e-9;

/** The steady light before and after a fade. */
export interface Plateaus {
  /** Ends of the ramp in the record's unit. */
  readonly startLevel: number;
  readonly endLevel: number;
  readonly startPlateau: number;
  readonly endPlateau: number;
  /** Standard uncertainty of the span between them, relative to the span in the curve domain. */
  readonly standard: number;
  readonly noise: number;
}

/** Plateaus from the settled parts of the steady stretches; a dark one's floor in proportion to the other. */
export function fadePlateaus(waveform: Waveform, fade: CommandedFade): Plateaus | NotMeasurable {
  const before = plateau(waveform, fade.before);
  const after = plateau(waveform, fade.after);
  if (!before || !after) {
    const side = before ? 'after' : 'before';
    return notMeasurable('no-plateau', { note: `no steady light is recorded ${side} the fade` });
  }
  const dark = fade.startPlateau <= 0 ? 'start' : fade.endPlateau <= 0 ? 'end' : null;
  // A dark plateau says nothing of the floor that the ramp starts or ends on: it is taken in proportion.
  const startLevel =
    dark === 'start' ? (after.mean * fade.startLevel) / fade.endLevel : before.mean;
  const endLevel = dark === 'end' ? (before.mean * fade.endLevel) / fade.startLevel : after.mean;
  if (!(startLevel > 0 && endLevel > 0)) {
    return notMeasurable('dark', { note: 'no light on a plateau that is commanded to be lit' });
  }
  const span = fade.logarithmic ? Math.log(endLevel / startLevel) : endLevel - startLevel;
  const still = rounding * (fade.logarithmic ? 1 : Math.max(startLevel, endLevel));
  // Against no span at all the least rounding of a plateau would look like a slope.
  if (Math.abs(span) <= still)
    return notMeasurable('no-fade', { note: 'the light is the same before and after' });
  const scale = (level: number) => (fade.logarithmic ? level : 1) * Math.abs(span);
  const noise = quietNoise(waveform);
  const sides = [
    { name: 'before', stretch: fade.before, own: before, scale: scale(startLevel) },
    { name: 'after', stretch: fade.after, own: after, scale: scale(endLevel) },
  ].map(({ name, stretch, own, scale }, index) => {
    const isDark = dark === (index === 0 ? 'start' : 'end');
    const change = isDark ? 0 : own.change / scale;
    const white = isDark ? 0 : (hannNoise * noise) / Math.sqrt(own.count) / scale;
    // Halves of a noisy plateau differ by twice the noise of its mean.
    const settled = Math.abs(change) < slopeAllowed(stretch, fade) + 6 * white;
    return { name, change, white, settled };
  });
  const unsettled = sides.find(({ settled }) => !settled);
  if (unsettled)
    return notMeasurable('no-plateau', {
      note: `the light does not settle ${unsettled.name} the fade`,
    });
  const hidden = Math.max(...sides.map(({ white }) => white));
  if (hidden > plateauSlope) {
    const facts = { found: hidden, needed: plateauSlope, unit: '1' };
    return notMeasurable('below-noise', { ...facts, note: 'a plateau against the whole fade' });
  }
  // The halves tell drift and tones, the white noise what two halves may hide by chance.
  const standard = Math.hypot(
    ...sides.map(({ change, white }) => Math.max(Math.abs(change) / 4, white)),
  );
  return {
    startLevel,
    endLevel,
    startPlateau: before.mean,
    endPlateau: after.mean,
    standard,
    noise,
  };
}

/** How much the halves of a plateau may differ, as a part of the whole fade. */
function slopeAllowed({ from, to }: Window, fade: CommandedFade): number {
  const apart = ((1 - settling) * (to - from)) / 2;
  return Math.min(plateauSlope, (plateauSpeed * apart) / (fade.to - fade.from));
}

/** Mean of the settled part of a steady stretch, and how much its halves differ. */
function plateau(
  waveform: Waveform,
  { from, to }: Window,
): { readonly mean: number; readonly change: number; readonly count: number } | null {
  const part = windowed(waveform, from + settling * (to - from), to);
  const count = lengthOf(part);
  if (count < 2 * windowSamples) return null;
  const half = Math.floor(count / 2);
  const one = hannMean(cut(part, 0, half));
  const two = hannMean(cut(part, count - half, count));
  return { mean: hannMean(part), change: two - one, count };
}
