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
  readonly min: readonly number[];
  readonly max: readonly number[];
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
): Trace {
  const { samples, rate, start, unit } = waveform;
  const perInterval = Math.max(1, Math.ceil(samples.length / intervals));
  const min: number[] = [];
  const max: number[] = [];
  for (let from = 0; from < samples.length; from += perInterval) {
    const [low, high] = extremes(samples, from, Math.min(samples.length, from + perInterval));
    min.push(low);
    max.push(high);
  }
  const { file, signal, of } = capture;
  return { file, signal, of, unit, x0: start, dx: perInterval / rate, min, max };
}

function extremes(samples: ArrayLike<number>, from: number, to: number): [number, number] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let k = from; k < to; k++) {
    const value = samples[k] ?? Number.NaN;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return low <= high ? [low, high] : [0, 0];
}
