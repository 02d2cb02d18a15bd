import type { CaptureId, ColourReading, Frame, Observation } from '../observation.ts';
import { sampleAt } from '../signal/samples.ts';
import { seededNoise } from '../signal/seeded-noise.ts';
import type { Waveform } from '../waveform.ts';
import { type ColouredNoise, colouredWaveform } from './coloured-waveform.ts';
import { disturbedSamples, disturbedWaveform, type Noise } from './disturbed-waveform.ts';
import { signalRecord } from './signal-record.ts';
import { stretched } from './waveform-part.ts';

/** A calibration error that one record is given: value' = value * gain + offset + noise, time' = time * stretch. */
export interface Disturbance {
  readonly gain?: number;
  /** A gain that is off by `error` for a small signal, and right at full scale (in the record's unit). */
  readonly bow?: { readonly error: number; readonly fullScale: number };
  /** In the record's unit. */
  readonly offset?: number;
  /** Of the sampling interval. */
  readonly stretch?: number;
  /** Added to each sample. */
  readonly noise?: Noise;
  /** Added to the record, beside the white noise. */
  readonly coloured?: ColouredNoise;
  /** Samples are rounded again. */
  readonly rounding?: Rounding;
  /** Colour readings: which tristimulus value gain, offset and noise act on; all three when absent. */
  readonly axis?: 'X' | 'Y' | 'Z';
}

/** Values become step * k + phase, k a whole number. In the record's unit. */
interface Rounding {
  readonly step: number;
  readonly phase: number;
}

/** The error that the records of a capture are given, if any. */
export type Select = (capture: CaptureId) => Disturbance | undefined;

/** The observation as it would have been with the errors that `select` hands out. What is not selected is shared. */
export function disturb(observation: Observation, select: Select): Observation {
  const noiseOf = readingNoise();
  return {
    ...observation,
    records: observation.records.map((record) => {
      const disturbance = select(record.capture);
      return disturbance
        ? signalRecord(record, disturbWaveform(record.waveform, disturbance))
        : record;
    }),
    colour: observation.colour.map((reading) => {
      const disturbance = select(reading.capture);
      return disturbance ? disturbReading(reading, disturbance, noiseOf(disturbance)) : reading;
    }),
    frames: observation.frames.map((frame) => {
      const disturbance = select(frame.capture);
      return disturbance ? disturbFrame(frame, disturbance) : frame;
    }),
  };
}

function disturbWaveform(waveform: Waveform, disturbance: Disturbance): Waveform {
  const { gain = 1, offset = 0, stretch = 1, noise, coloured, rounding, bow } = disturbance;
  const straight = stretch === 1 ? waveform : stretched(waveform, stretch);
  const timed = bow ? { ...straight, samples: bowed(straight.samples, bow) } : straight;
  const noisy = coloured ? drawn(colouredWaveform(timed, coloured)) : timed;
  const rounded = rounding ? drawn(roundedAgain(noisy, rounding)) : noisy;
  return disturbedWaveform(rounded, { gain, offset, ...(noise && { noise }) });
}

function drawn(waveform: Waveform): Waveform {
  return { ...waveform, drawn: true };
}

function bowed(
  samples: Waveform['samples'],
  { error, fullScale }: NonNullable<Disturbance['bow']>,
): Float64Array {
  const moved = new Float64Array(samples.length);
  for (let k = 0; k < moved.length; k++) {
    const value = sampleAt(samples, k);
    moved[k] = value * (1 + error * (1 - Math.abs(value) / fullScale));
  }
  return moved;
}

function roundedAgain(waveform: Waveform, { step, phase }: Rounding): Waveform {
  const { samples } = waveform;
  const rounded = new Float64Array(samples.length);
  for (let k = 0; k < rounded.length; k++)
    rounded[k] = Math.round((sampleAt(samples, k) - phase) / step) * step + phase;
  return { ...waveform, samples: rounded };
}

function disturbFrame(frame: Frame, disturbance: Disturbance): Frame {
  const { gain = 1, offset = 0, stretch = 1, noise } = disturbance;
  return {
    ...frame,
    rows: disturbedSamples(frame.rows, { gain, offset, ...(noise && { noise }) }),
    lineTime: frame.lineTime * stretch,
    exposure: frame.exposure * stretch,
  };
}

function disturbReading(
  reading: ColourReading,
  { gain = 1, offset = 0, axis, bow }: Disturbance,
  deviate: (() => number) | undefined,
): ColourReading {
  const bend = bow ? 1 + bow.error * (1 - reading.Y / bow.fullScale) : 1;
  const move = (value: number, which: 'X' | 'Y' | 'Z'): number =>
    axis === undefined || axis === which
      ? value * gain * bend + offset + (deviate?.() ?? 0)
      : value;
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
