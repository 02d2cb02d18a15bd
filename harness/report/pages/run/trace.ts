import type { CaptureRecord } from '../../../record/run-record.ts';

/**
 * A capture as a report draws it: per interval of `dx` the lowest and the highest sample, so that no spike is lost
 * however long the record was. Figures in `unit` and seconds on the condition's time line.
 */
export interface Trace {
  /** File name inside `captures/`, as in the record. */
  readonly file: string;
  readonly signal: string;
  readonly of: string;
  readonly unit: string;
  /** Start of the first interval, s. */
  readonly x0: number;
  /** Length of an interval, s. */
  readonly dx: number;
  readonly min: ArrayLike<number>;
  readonly max: ArrayLike<number>;
}

/** Intervals that a trace keeps: about two a pixel on a wide screen, so that zooming in twice still shows more. */
export const traceIntervals = 1600;

/** Reduces a uniformly sampled record to at most `intervals` pairs of extremes. Samples that are no numbers are left out. */
export function traceOf(
  capture: { readonly file: string; readonly signal: string; readonly of: string },
  waveform: {
    readonly samples: ArrayLike<number>;
    readonly rate: number;
    readonly start: number;
    readonly unit: string;
  },
  intervals = traceIntervals,
): Trace & { readonly min: Float64Array; readonly max: Float64Array } {
  const { samples, rate, start, unit } = waveform;
  const perInterval = Math.max(1, Math.ceil(samples.length / intervals));
  // A run has thousands of them: kept off the heap, where they would be moved about.
  const min = new Float64Array(Math.ceil(samples.length / perInterval));
  const max = new Float64Array(min.length);
  for (let k = 0; k < min.length; k++) {
    const from = k * perInterval;
    const [low, high] = extremes(samples, from, Math.min(samples.length, from + perInterval));
    min[k] = low;
    max[k] = high;
  }
  const { file, signal, of } = capture;
  return { file, signal, of, unit, x0: start, dx: perInterval / rate, min, max };
}

/** A stored capture, given its raw codes, as a report draws it. */
export function captureTrace(capture: CaptureRecord, codes: ArrayLike<number>): Trace {
  const { scale, offset, rate, start, unit } = capture;
  const trace = traceOf(capture, { samples: codes, rate, start, unit });
  const inUnit = (code: number): number => code * scale + offset;
  // A scale below zero (a probe the other way round) makes the lowest code the highest value.
  const [low, high] = scale < 0 ? [trace.max, trace.min] : [trace.min, trace.max];
  return { ...trace, min: low.map(inUnit), max: high.map(inUnit) };
}

/** The least and the largest of the samples `from` to before `to`; 0 where none is a number. */
function extremes(samples: ArrayLike<number>, from: number, to: number): readonly [number, number] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let k = from; k < to; k++) {
    const value = samples[k] ?? Number.NaN;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return low <= high ? [low, high] : [0, 0];
}
