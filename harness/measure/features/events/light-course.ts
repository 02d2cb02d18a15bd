import type { UnitSymbol } from '../../../units/unit.ts';
import { hiddenByCodes } from '../../analysis/hidden-by-codes.ts';
import { linearFigures } from '../../analysis/linear-figures.ts';
import { meanTrack } from '../../analysis/mean-track.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { lightNeed } from '../../needs.ts';
import type { Commanded, Observation, Window } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { memoise } from '../../signal/memoise.ts';
import { monotoneMedians } from '../../signal/monotone-medians.ts';
import { quickselect } from '../../signal/quickselect.ts';
import { valueAt } from '../../signal/samples.ts';
import { slidingMedian } from '../../signal/sliding-median.ts';
import { soundRecord } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';
import { type CommandedCourse, commandedCourses } from './commanded-courses.ts';

/** Light over time in short averages, and the course that it takes without events. In the record's unit. */
export interface LightCourse {
  /** Middle of each average, s. */
  readonly times: Float64Array;
  readonly values: Float64Array;
  /** What the light may at least and at most be by its course: between the two it is as commanded. */
  readonly least: Float64Array;
  readonly most: Float64Array;
  /** Of the values. */
  readonly unit: UnitSymbol;
  /** White noise of one average, rms. */
  readonly noise: number;
  /** What rounding may hide of a difference between two averages. */
  readonly hidden: number;
  /** Width of an average, s. */
  readonly width: number;
  /** Part of an event of that length that no average may have seen. */
  readonly missed: number;
}

/** Averages within the width of one: no event slips between two of them. */
const perWidth = 16;
/** Samples that a shortest event needs. */
const fewestSamples = 4;
/** Neighbourhood whose median is the course, in longest events. */
const neighbourhood = 2.5;
/** Averages that a statement about events needs. */
const fewest = 16;

/**
 * Plain averages over `shortest`: an event as long is seen in full, and a modulator with pauses half as long is even. The course goes by two rules, of which the less kind one counts: the median of the
 * neighbourhood, which follows every edge and slope that goes one way and no event up to `longest`; and the nearest course
 * that only rises, only falls or stands still as the command does, which no event moves, however long.
 * Source: common practice, no source.
 */
export function lightCourse(observation: Observation): LightCourse | NotMeasurable {
  const shortest = Number(observation.parameters['shortest'] ?? 1e-3);
  const longest = Number(observation.parameters['longest'] ?? 20e-3);
  const waveform = soundRecord(observation, {
    ...lightNeed,
    rate: fewestSamples / shortest,
    duration: fewest * shortest,
  });
  if (!isMeasurable(waveform)) return waveform;
  const { of, window, commanded } = observation;
  const courses = commandedCourses(observation, shortest / 2);
  if (!courses) {
    return notMeasurable('out-of-domain', {
      note: 'the mixed light does not only rise or only fall; judge channel by channel',
    });
  }
  const asked = { ...window, shortest, longest };
  const key = `${window.from} ${window.to} ${shortest} ${longest} ${of}`;
  return linearFigures(
    waveform,
    (own) => remembered(commanded)(own, key)(() => computed(own, courses, asked)),
    moved,
  );
}

/** A gain and an offset move every figure alike. */
function moved(course: LightCourse, gain: number, offset: number): LightCourse {
  const all = (values: Float64Array) => values.map((value) => value * gain + offset);
  const { values, least, most, noise, hidden } = course;
  const [one, two, three] = [all(values), all(least), all(most)];
  const scale = Math.abs(gain);
  const moved = { values: one, least: two, most: three };
  return { ...course, ...moved, noise: noise * scale, hidden: hidden * scale };
}

function noiseOf(waveform: Waveform, width: number): number {
  return quietNoise(waveform) / Math.sqrt(width * waveform.rate);
}

/** A course that is computed when it is first asked for. */
type Once = (compute: () => LightCourse) => LightCourse;

/** Several metrics ask for the same course, and the budget of each asks again. The key: window, events, subject. */
const remembered = memoise((_: Commanded) =>
  memoise((_waveform: Waveform, _key: string): Once => {
    let known: LightCourse | undefined;
    return (compute) => (known ??= compute());
  }),
);

interface Asked extends Window {
  readonly shortest: number;
  readonly longest: number;
}

function computed(
  waveform: Waveform,
  courses: readonly CommandedCourse[],
  asked: Asked,
): LightCourse {
  const { times, values, width, missed } = meanTrack(waveform, asked, asked.shortest, perWidth);
  const spacing = times.length > 1 ? valueAt(times, 1) - valueAt(times, 0) : width;
  const half = Math.ceil((neighbourhood * asked.longest) / 2 / spacing);
  const median = slidingMedian(values, half);
  const [least, most] = [median.slice(), median.slice()];
  for (const { from, to, direction } of courses) {
    const [first, last] = [placeFrom(times, from), placeFrom(times, to)];
    holdTo(values.subarray(first, last), direction, half, {
      least: least.subarray(first, last),
      most: most.subarray(first, last),
    });
  }
  const { unit } = waveform;
  const noise = noiseOf(waveform, width);
  return {
    times,
    values,
    least,
    most,
    unit,
    noise,
    hidden: hiddenByCodes(waveform),
    width,
    missed,
  };
}

/** First place whose time is not before `at`. */
function placeFrom(times: Float64Array, at: number): number {
  const place = times.findIndex((time) => time >= at - 1e-9);
  return place < 0 ? times.length : place;
}

/** Raises `least` and lowers `most` to what the commanded direction alone allows, told in blocks of `size` averages. */
function holdTo(
  values: Float64Array,
  direction: -1 | 0 | 1,
  size: number,
  { least, most }: { readonly least: Float64Array; readonly most: Float64Array },
): void {
  const count = Math.max(1, Math.round(values.length / size));
  const edge = (block: number) => Math.round((block * values.length) / count);
  const medians = Array.from({ length: count }, (_, block) =>
    medianOf(values.slice(edge(block), edge(block + 1))),
  );
  const steady = direction === 0 ? medianOf(Float64Array.from(medians)) : 0;
  const fitted = direction === 0 ? medians.map(() => steady) : monotoneMedians(medians, direction);
  // Light that is late, or ahead, begins and ends a course elsewhere than its first and last block say.
  const [begin = 0, end = 0] = [values[0], values.at(-1)];
  const [lowEnd, highEnd] = direction === 1 ? [begin, end] : [end, begin];
  for (let block = 0; block < count; block++) {
    // A block knows its course to its neighbours' only.
    const near = fitted.slice(Math.max(0, block - 1), block + 2);
    const isFirst = block === 0;
    const isLast = block === count - 1;
    const low = (direction === 1 && isFirst) || (direction === -1 && isLast) ? [lowEnd] : [];
    const high = (direction === -1 && isFirst) || (direction === 1 && isLast) ? [highEnd] : [];
    const [lowest, highest] = [Math.min(...near, ...low), Math.max(...near, ...high)];
    for (let k = edge(block); k < edge(block + 1); k++) {
      least[k] = Math.max(valueAt(least, k), lowest);
      most[k] = Math.min(valueAt(most, k), highest);
    }
  }
}

function medianOf(values: Float64Array): number {
  return values.length === 0 ? 0 : quickselect(values, values.length >> 1);
}
