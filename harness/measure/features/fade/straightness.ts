import { formatQuantity } from '../../../units/format-quantity.ts';
import { type HannTrack, hannTrack } from '../../analysis/hann-track.ts';
import type { Window } from '../../observation.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import { valueAt } from '../../signal/samples.ts';
import type { Waveform } from '../../waveform.ts';
import type { CommandedFade } from './commanded-fade.ts';
import { type Plateaus, windowSamples } from './fade-plateaus.ts';

/** Parts of the fade's time at which its way is looked at; nearer to the plateaus the averages reach into them. */
const parts = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9];
/** Fewer of them passed, or passed within fewer averages, tell no shape: that is a jump. */
const fewest = 5;
const fewestAverages = 4;
/** Averages in a fade: fine enough for light that goes most of its way near one end. */
const averagesPerFade = 64;
/** Averages within the width of one. */
const perWidth = 4;
/**
 * Light whose instants lie this part of its time off their straight line, in the mean, is not straight: a line through it has no ends
 * that mean anything. A fade of three decades that runs straight in light lies 0.28 off, one with a kink in it at most 0.19: what a kink,
 * a pause or a creeping end leave open is told by the line's uncertainty [computed].
 */
const mostOff = 0.2;
/** Light that runs straight in the other domain lies no farther off there, in the mean. */
const straightThere = 0.05;
/** A passing counts where noise moves an average by less than this part of its level. */
const visibleNoise = 0.1;

/**
 * Why no straight line describes the fade: the light goes from plateau to plateau, but at a speed in the dimming-curve domain that is
 * far from even. Null where it is straight enough, where it jumps, or where it does not arrive at all.
 *
 * Inputs: the record, the commanded fade, its plateaus in the record's unit. Source: our own method.
 */
export function notStraight(
  waveform: Waveform,
  fade: CommandedFade,
  plateaus: Plateaus,
): NotMeasurable | null {
  const { from, to, before, after, logarithmic } = fade;
  const width = Math.max((to - from) / averagesPerFade, windowSamples / waveform.rate);
  const track = hannTrack(waveform, { from: before.from, to: after.to }, width, width / perWidth);
  const white = (hannNoise * plateaus.noise) / Math.sqrt(track.width * waveform.rate);
  const scatters = [scatterIn(track, before), scatterIn(track, after)] as const;
  const noise = (level: number) => Math.max(white, scatterAt(level, plateaus, scatters));
  const own = offTheLine(passings(track, fade, plateaus, noise), track.width);
  if (!own || own.mean < mostOff) return null;
  const inLight = logarithmic && fade.straight ? { ...fade, logarithmic: false } : null;
  const there = inLight && offTheLine(passings(track, inLight, plateaus, noise), track.width);
  const cause =
    there && there.mean < straightThere ? '; it runs straight in light, without the curve' : '';
  return notMeasurable('not-a-straight-fade', { note: `${inWords(own.worst, fade)}${cause}` });
}

/** rms of the averages about their mean in the later half of a steady stretch: what a slow modulator leaves in them, too. */
function scatterIn({ times, values }: HannTrack, { from, to }: Window): number {
  const settled = values.filter((_, k) => {
    const at = valueAt(times, k);
    return at > (from + to) / 2 && at < to;
  });
  const mean = settled.reduce((sum, value) => sum + value, 0) / settled.length;
  const squares = settled.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return settled.length > 1 ? Math.sqrt(squares / settled.length) : 0;
}

/** Where the light has a level, its scatter lies on the line between those of the plateaus. */
function scatterAt(
  level: number,
  { startLevel, endLevel }: Plateaus,
  [start, end]: readonly [number, number],
): number {
  return start + ((level - startLevel) / (endLevel - startLevel)) * (end - start);
}

interface Passing {
  /** Part of the fade's time at which a straight fade passes here, and share of the way. */
  readonly part: number;
  readonly share: number;
  /** When the light passes here, s. */
  readonly at: number;
}

/**
 * How long the averaged light stays before each part's share of the way, where noise lets that be seen: for light that goes one way, the
 * instant at which it passes. A spike or a dropout moves it by no more than its own length.
 */
function passings(
  { times, values }: HannTrack,
  { course, logarithmic }: CommandedFade,
  { startLevel, endLevel }: Plateaus,
  noise: (level: number) => number,
): readonly Passing[] {
  const ratio = endLevel / startLevel;
  const levelAt = (share: number): number =>
    logarithmic ? startLevel * ratio ** share : startLevel + (endLevel - startLevel) * share;
  const step = valueAt(times, 1) - valueAt(times, 0);
  return parts.flatMap((part) => {
    const share = course(part);
    const level = levelAt(share);
    if (noise(level) > visibleNoise * level) return [];
    const isBefore = (value: number) => (endLevel > startLevel ? value < level : value > level);
    const before = values.reduce((count, value) => count + (isBefore(value) ? 1 : 0), 0);
    return [{ part, share, at: valueAt(times, 0) + (before - 0.5) * step }];
  });
}

interface Off {
  /** The passing farthest from the straight line between the first and the last. */
  readonly worst: Passing;
  /** Mean distance of the instants from that line, as a part of the time between the two. */
  readonly mean: number;
}

function offTheLine(passings: readonly Passing[], width: number): Off | null {
  const [first, last] = [passings[0], passings.at(-1)];
  if (!first || !last || passings.length < fewest) return null;
  const time = last.at - first.at;
  if (time < fewestAverages * width) return null;
  const away = ({ part, at }: Passing): number =>
    Math.abs(at - first.at - (time * (part - first.part)) / (last.part - first.part)) / time;
  return {
    worst: passings.reduce((one, two) => (away(two) > away(one) ? two : one)),
    mean: passings.reduce((sum, passing) => sum + away(passing), 0) / passings.length,
  };
}

function inWords({ part, share, at }: Passing, { from, to }: CommandedFade): string {
  const gone = formatQuantity(share, 'ratio', '%');
  const [taken, planned] = [at - from, part * (to - from)].map((time) =>
    formatQuantity(Number(time.toPrecision(3)), 'time', 's'),
  );
  return `${gone} of the way along the dimming curve takes ${taken}, commanded ${planned}`;
}
