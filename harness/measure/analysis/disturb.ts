import type { ColourReading, Frame, Observation } from '../observation.ts';
import { seededNoise } from '../signal/seeded-noise.ts';
import type { Signal } from '../signals.ts';
import type { Waveform } from '../waveform.ts';
import { changedSamples, changedWaveform } from './disturbed-waveform.ts';

/** A calibration error that one record is given: value' = value * gain + offset + noise, time' = time * stretch. */
export interface Disturbance {
  readonly gain?: number;
  /** In the record's unit. */
  readonly offset?: number;
  /** Of the sampling interval. */
  readonly stretch?: number;
  /** Added to each sample: its rms in the record's unit, and what it is drawn from. */
  readonly noise?: { readonly standard: number; readonly seed: number };
  /** Samples are rounded again, to `step * k + phase`. In the record's unit. */
  readonly rounding?: { readonly step: number; readonly phase: number };
  /** Colour readings: which tristimulus value gain, offset and noise act on; all three when absent. */
  readonly axis?: 'X' | 'Y' | 'Z';
}

/** Names a record of an observation: colour readings are of signal `colour`, frames of signal `frame`. */
export type Select = (signal: Signal, of: string) => Disturbance | undefined;

/** The observation as it would have been with the errors that `select` hands out. What is not selected is shared. */
export function disturb(observation: Observation, select: Select): Observation {
  const frame = select('frame', 'frame');
  const noiseOf = readingNoise();
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
      return disturbance ? disturbReading(reading, disturbance, noiseOf(disturbance)) : reading;
    }),
    frames: frame
      ? observation.frames.map((each) => disturbFrame(each, frame))
      : observation.frames,
  };
}

function disturbWaveform(waveform: Waveform, disturbance: Disturbance): Waveform {
  const { gain = 1, offset = 0, stretch = 1, noise, rounding } = disturbance;
  const timed = stretch === 1 ? waveform : { ...waveform, rate: waveform.rate / stretch };
  const rounded = rounding ? roundedAgain(timed, rounding) : timed;
  return changedWaveform(rounded, { gain, offset, ...(noise && { noise }) });
}

function roundedAgain(
  waveform: Waveform,
  { step, phase }: NonNullable<Disturbance['rounding']>,
): Waveform {
  const { samples } = waveform;
  const rounded = new Float64Array(samples.length);
  for (let k = 0; k < rounded.length; k++)
    rounded[k] = Math.round((samples[k]! - phase) / step) * step + phase;
  return { ...waveform, samples: rounded };
}

function disturbFrame(frame: Frame, disturbance: Disturbance): Frame {
  const { gain = 1, offset = 0, stretch = 1, noise } = disturbance;
  return {
    ...frame,
    rows: changedSamples(frame.rows, { gain, offset, ...(noise && { noise }) }),
    lineTime: frame.lineTime * stretch,
    exposure: frame.exposure * stretch,
  };
}

function disturbReading(
  reading: ColourReading,
  { gain = 1, offset = 0, axis }: Disturbance,
  deviate: (() => number) | undefined,
): ColourReading {
  const move = (value: number, which: 'X' | 'Y' | 'Z'): number =>
    axis === undefined || axis === which ? value * gain + offset + (deviate?.() ?? 0) : value;
  return { ...reading, X: move(reading.X, 'X'), Y: move(reading.Y, 'Y'), Z: move(reading.Z, 'Z') };
}

/** One stream of noise for all readings of an observation. */
function readingNoise(): (disturbance: Disturbance) => (() => number) | undefined {
  let stream: (() => number) | undefined;
  return ({ noise }) => {
    if (!noise) return undefined;
    const deviate = (stream ??= seededNoise(noise.seed));
    return () => noise.standard * deviate();
  };
}
