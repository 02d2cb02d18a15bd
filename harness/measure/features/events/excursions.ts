import type { Parameter } from '../../metric.ts';
import type { Observation, Window } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { valueAt } from '../../signal/samples.ts';
import { litStretches } from './commanded-courses.ts';
import { type LightCourse, lightCourse } from './light-course.ts';

/** Below the course of the light, or above it. */
export type Side = 'below' | 'above';

/** How far the light goes to one side of its course, over time. */
export interface Excursions {
  readonly light: LightCourse;
  /** Relative to the course; NaN where no light is commanded or none is there to be told from the noise. */
  readonly parts: Float64Array;
  /** Relative to the course: what white noise may make of an average at the dimmest place that was looked at, rms. */
  readonly noise: number;
  /** Relative to the course: what rounding may hide there. */
  readonly hidden: number;
}

/** A stretch in which the light is beyond a threshold. */
export interface Excursion extends Window {
  /** Of its ends, how many are those of what was looked at: it may have begun earlier, or end later. */
  readonly openEnds: number;
  /** Farthest part, relative to the course. */
  readonly farthest: number;
}

export const eventParameters: readonly Parameter[] = [
  {
    name: 'shortest',
    kind: 'time',
    default: 1e-3,
    about: 'shortest event that is asked for: the light is averaged over it',
  },
  {
    name: 'longest',
    kind: 'time',
    default: 20e-3,
    about: 'longest event that must be told from a fade; in steady light longer ones count too',
  },
];

/** Light below this part of its mean is dark: of it there is no part to tell. */
const darkPart = 1e-4;
/** A part is seen when it is this many times what noise makes of an average. */
const certainty = 5;
/** Light may be late by this much in all before its absence hides events, s. */
const latency = 0.06;

/** `threshold`: the smallest part that the metric is about. */
export function excursions(
  observation: Observation,
  side: Side,
  threshold: number,
): Excursions | NotMeasurable {
  const light = lightCourse(observation);
  if (!isMeasurable(light)) return light;
  const { times, values, noise } = light;
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  if (!(mean > (3 * noise) / Math.sqrt(values.length)) || mean <= 0)
    return notMeasurable('dark', { note: 'no light in the window' });
  const needed = Math.max((certainty * noise + 2 * light.hidden) / threshold, darkPart * mean);
  const parts = new Float64Array(times.length).fill(Number.NaN);
  let [dimmest, unseen] = [Number.POSITIVE_INFINITY, 0];
  forEachLit(times, litStretches(observation), (place) => {
    const expected = valueAt(side === 'below' ? light.least : light.most, place);
    if (expected > needed && expected > 0) {
      const beyond = valueAt(values, place) - expected;
      parts[place] = (side === 'below' ? -beyond : beyond) / expected;
      dimmest = Math.min(dimmest, expected);
      // In a long blackout there is no light to flash, and it is the blackouts' to tell.
    } else if (!(valueAt(light.least, place) > needed)) unseen++;
  });
  const spacing = times.length > 1 ? valueAt(times, 1) - valueAt(times, 0) : 0;
  if (dimmest === Number.POSITIVE_INFINITY || unseen * spacing > latency) {
    const facts = { found: mean, needed, unit: light.unit };
    const note = `too dim for events of this size during ${(unseen * spacing).toFixed(2)} s`;
    return notMeasurable('below-noise', { ...facts, note });
  }
  return { light, parts, noise: noise / dimmest, hidden: light.hidden / dimmest };
}

function forEachLit(
  times: Float64Array,
  lit: readonly Window[],
  visit: (place: number) => void,
): void {
  let place = 0;
  for (const { from, to } of lit) {
    while (place < times.length && valueAt(times, place) < from) place++;
    for (; place < times.length && valueAt(times, place) < to; place++) visit(place);
  }
}

/** The stretches beyond a threshold, their ends placed between two averages by straight line. */
export function beyond({ light, parts }: Excursions, threshold: number): readonly Excursion[] {
  const { times } = light;
  const found: Excursion[] = [];
  let from: number | null = null;
  let [farthest, openEnds] = [0, 0];
  for (let place = 0; place <= parts.length; place++) {
    const part = place < parts.length ? valueAt(parts, place) : Number.NaN;
    if (part > threshold) {
      if (from === null) {
        from = crossing(times, parts, place, threshold);
        openEnds = place === 0 ? 1 : 0;
      }
      farthest = Math.max(farthest, part);
    } else if (from !== null) {
      if (place === parts.length) openEnds++;
      found.push({ from, to: crossing(times, parts, place, threshold), farthest, openEnds });
      [from, farthest] = [null, 0];
    }
  }
  return found;
}

/** Instant between the average at `place` and the one before it at which the part passes a threshold. */
function crossing(
  times: Float64Array,
  parts: Float64Array,
  place: number,
  threshold: number,
): number {
  const before = Math.max(0, place - 1);
  const now = Math.min(place, parts.length - 1);
  const [one, two] = [valueAt(parts, before), valueAt(parts, now)];
  const share = (threshold - one) / (two - one);
  const [from, to] = [valueAt(times, before), valueAt(times, now)];
  // At the edge of what was looked at there is nothing to go by: the farther of the two counts.
  if (!(share >= 0 && share <= 1)) return two > threshold ? from : to;
  return from + share * (to - from);
}

/** Place of the farthest part; -1 where nothing was looked at. */
export function farthestPlace({ parts }: Excursions): number {
  let farthest = -1;
  for (let place = 0; place < parts.length; place++) {
    const part = valueAt(parts, place);
    if (Number.isNaN(part)) continue;
    if (farthest < 0 || part > valueAt(parts, farthest)) farthest = place;
  }
  return farthest;
}
