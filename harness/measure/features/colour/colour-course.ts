import { hannTrack } from '../../analysis/hann-track.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { type Tristimulus, type Uv1976, xyToXyz } from '../../colorimetry/chromaticity.ts';
import { mix } from '../../colorimetry/mixing.ts';
import type { Need } from '../../metric.ts';
import type { CommandedChannel, Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import { valueAt } from '../../signal/samples.ts';
import { soundPart } from '../../subject/sound-record.ts';

/** The colour of the mixed light over time, put together from the channels' currents. */
export interface ColourCourse {
  readonly points: readonly ColourPoint[];
}

export interface ColourPoint {
  readonly at: number;
  /** Y in lm. */
  readonly light: Tristimulus;
  readonly uv: Uv1976;
  /** What white noise of the records makes u' and v' scatter by (rms), both together. */
  readonly noise: number;
}

/** One channel: its light at its nominal current, over time. */
interface ChannelCourse {
  readonly full: Tristimulus;
  readonly times: Float64Array;
  /** Relative to the nominal current. */
  readonly values: Float64Array;
  readonly noise: number;
}

/** u' and v' straight from tristimulus values (CIE 15): 4X/(X+15Y+3Z), 9Y/(X+15Y+3Z). */
export function uvOf({ X, Y, Z }: Tristimulus): Uv1976 {
  const divisor = X + 15 * Y + 3 * Z;
  return { u: (4 * X) / divisor, v: (9 * Y) / divisor };
}

/** Averages (Hann) of `width` seconds, half a width apart, over the window; every channel has to be recorded. */
export function colourCourse(
  observation: Observation,
  need: Need,
  width: number,
): ColourCourse | NotMeasurable {
  const courses: ChannelCourse[] = [];
  for (const channel of observation.commanded.channels) {
    const course = channelCourse(observation, need, channel, width);
    if (!isMeasurable(course)) return course;
    courses.push(course);
  }
  // The smallest of no numbers is infinite.
  if (courses.length === 0) return { points: [] };
  const count = Math.min(...courses.map(({ values }) => values.length));
  return { points: Array.from({ length: count }, (_, k) => pointAt(courses, k)) };
}

function channelCourse(
  observation: Observation,
  need: Need,
  { channel, lumen, maxCurrent, xy: [x, y] }: CommandedChannel,
  width: number,
): ChannelCourse | NotMeasurable {
  const part = soundPart({ ...observation, of: channel }, need);
  if (!isMeasurable(part)) return part;
  const track = hannTrack(part, observation.window, Math.max(width, 4 / part.rate), width / 2);
  const noise = (hannNoise * quietNoise(part)) / Math.sqrt(track.width * part.rate);
  return {
    full: xyToXyz({ x, y }, lumen),
    times: track.times,
    values: track.values.map((current) => current / maxCurrent),
    noise: noise / maxCurrent,
  };
}

function pointAt(courses: readonly ChannelCourse[], k: number): ColourPoint {
  const light = mix(courses.map(({ full, values }) => times(full, valueAt(values, k))));
  const uv = uvOf(light);
  const { X, Y, Z } = light;
  const divisor = X + 15 * Y + 3 * Z;
  // du'/dc = (4 X_c - u' D_c)/D for a channel of tristimulus values X_c, Y_c, Z_c and D_c = X_c + 15 Y_c + 3 Z_c; v' likewise.
  const squares = courses.map(({ full, noise }) => {
    const own = full.X + 15 * full.Y + 3 * full.Z;
    return (
      (noise / divisor) ** 2 * ((4 * full.X - uv.u * own) ** 2 + (9 * full.Y - uv.v * own) ** 2)
    );
  });
  const at = valueAt(courses[0]?.times ?? new Float64Array(), k);
  return { at, light, uv, noise: Math.sqrt(squares.reduce((sum, one) => sum + one, 0)) };
}

function times({ X, Y, Z }: Tristimulus, factor: number): Tristimulus {
  return { X: X * factor, Y: Y * factor, Z: Z * factor };
}
