import type { Signal } from '../measure/metric.ts';
import type { ColourReading, Frame, Observation } from '../measure/observation.ts';
import type { Waveform } from '../measure/signal/waveform.ts';

/** A calibration error that one record is given: value' = value * gain + offset + noise, time' = time * stretch. */
export interface Disturbance {
  readonly gain?: number;
  /** In the record's unit. */
  readonly offset?: number;
  /** Of the sampling interval. */
  readonly stretch?: number;
  /** Added to each sample, in the record's unit. */
  readonly noise?: () => number;
  /** Colour readings: which tristimulus value gain, offset and noise act on; all three when absent. */
  readonly axis?: 'X' | 'Y' | 'Z';
}

/** Names a record of an observation: colour readings are of signal `colour`, frames of signal `frame`. */
export type Select = (signal: Signal, of: string) => Disturbance | undefined;

/** The observation as it would have been with the errors that `select` hands out. What is not selected is shared. */
export function disturb(observation: Observation, select: Select): Observation {
  const frame = select('frame', 'frame');
  return {
    ...observation,
    records: observation.records.map((record) => {
      const disturbance = select(record.signal, record.of);
      return disturbance
        ? { ...record, waveform: disturbWaveform(record.waveform, disturbance) }
        : record;
    }),
    colour: observation.colour.map((reading) => {
      const disturbance = select('colour', reading.of);
      return disturbance ? disturbReading(reading, disturbance) : reading;
    }),
    frames: frame
      ? observation.frames.map((each) => disturbFrame(each, frame))
      : observation.frames,
  };
}

/** Range and step move with the samples, so that exactly the same samples count as clipped. */
function disturbWaveform(waveform: Waveform, disturbance: Disturbance): Waveform {
  const { gain = 1, offset = 0, stretch = 1 } = disturbance;
  const { range, step } = waveform;
  return {
    ...waveform,
    samples: disturbSamples(waveform.samples, disturbance),
    rate: waveform.rate / stretch,
    ...(range && { range: { low: range.low * gain + offset, high: range.high * gain + offset } }),
    ...(step !== undefined && { step: step * gain }),
  };
}

/** Always float64: a relative change of 1e-6 would drown in the rounding of float32. */
function disturbSamples(
  samples: Float32Array | Float64Array,
  { gain = 1, offset = 0, noise }: Disturbance,
): Float32Array | Float64Array {
  if (gain === 1 && offset === 0 && !noise) return samples;
  const moved = new Float64Array(samples.length);
  for (let k = 0; k < samples.length; k++) moved[k] = samples[k]! * gain + offset;
  if (noise) for (let k = 0; k < samples.length; k++) moved[k] = moved[k]! + noise();
  return moved;
}

function disturbFrame(frame: Frame, disturbance: Disturbance): Frame {
  const { stretch = 1 } = disturbance;
  return {
    ...frame,
    rows: Float64Array.from(disturbSamples(frame.rows, disturbance)),
    lineTime: frame.lineTime * stretch,
    exposure: frame.exposure * stretch,
  };
}

function disturbReading(reading: ColourReading, disturbance: Disturbance): ColourReading {
  const { gain = 1, offset = 0, noise, axis } = disturbance;
  const move = (value: number, which: 'X' | 'Y' | 'Z'): number =>
    axis === undefined || axis === which ? value * gain + offset + (noise ? noise() : 0) : value;
  return { ...reading, X: move(reading.X, 'X'), Y: move(reading.Y, 'Y'), Z: move(reading.Z, 'Z') };
}
