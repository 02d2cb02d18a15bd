import type { Wire } from '../../../harness/bench/rig.ts';
import type { SampleBlock } from '../sample-block.ts';
import type { CalibrationError } from './calibration-error.ts';
import type { NoiseSource } from './noise-source.ts';

export type ConverterCodes = Int16Array | Int32Array;

/** Largest division of the converter's range. */
const smallestRange = 1 / 64;

/** The range of a converter that is +-full scale or a power of two below it, in the wire's unit; `expectedPeak` in V. */
export function rangeFor(wire: Wire, expectedPeak: number | undefined): number {
  let range = wire.fullScale;
  if (expectedPeak === undefined || expectedPeak <= 0) return range;
  const peak = expectedPeak * Math.abs(wire.scale);
  while (range / 2 >= peak && range / 2 >= wire.fullScale * smallestRange) range /= 2;
  return range;
}

/** What a converter is set up with. */
export interface ConverterSetup {
  /** +- this, in the wire's unit. */
  readonly range: number;
  /** s from sample to sample. */
  readonly dt: number;
  readonly error: CalibrationError;
  readonly noise: { readonly source: NoiseSource; readonly factor: number };
  /** The signal comes with the sensor's pole in it. */
  readonly filtered: boolean;
  /** Most samples that it converts at once. */
  readonly blockLength: number;
}

/**
 * Sensor, amplifier and converter of one input. The sensor is one pole of `bandwidth` (the lower of sensor's and
 * anti-alias filter's), exact for a signal that is constant over each sample: its output's mean over the sample is
 * u + (s - u) (1 - e^-a) / a, its state afterwards u + (s - u) e^-a, with a = 2 pi B dt. Then calibration error, noise,
 * and codes of `bits` over +-range, clipped at both ends.
 */
export class Converter {
  readonly step: number;
  readonly lowest: number;
  readonly highest: number;
  private readonly decay: number;
  private readonly leak: number;
  private readonly gain: number;
  /** From a value in steps to a code counted from the lowest one, before it is cut to a whole. */
  private readonly shift: number;
  private readonly noise: number;
  private readonly source: NoiseSource;
  private readonly noiseBlock: Float32Array;
  private pole = 0;

  constructor(wire: Wire, { range, dt, error, noise, filtered, blockLength }: ConverterSetup) {
    const { bits } = wire;
    this.highest = 2 ** (bits - 1) - 1;
    this.lowest = -(2 ** (bits - 1));
    this.step = range / 2 ** (bits - 1);
    const a = 2 * Math.PI * bandwidthOf(wire) * dt;
    this.decay = filtered ? 0 : Math.exp(-a);
    this.leak = filtered || !Number.isFinite(a) ? 0 : -Math.expm1(-a) / a;
    this.gain = (1 + error.scale) / this.step;
    this.shift = error.offset / this.step + 0.5 - this.lowest;
    this.noise = (noise.factor * wire.noise) / this.step;
    this.source = noise.source;
    this.noiseBlock = new Float32Array(blockLength);
  }

  /** The signal before the record, so that the pole has settled when it begins. */
  settle({ samples }: SampleBlock): void {
    for (const u of samples) this.pole = u + (this.pole - u) * this.decay;
  }

  /** Codes of the samples of a block, from code `first` on. */
  convert({ samples }: SampleBlock, codes: ConverterCodes, first: number): void {
    this.source.fill(this.noiseBlock, samples.length);
    this.pole = this.putCodes(samples, codes, first);
  }

  /** The loop alone, so that it is compiled once; returns the pole's last state. */
  private putCodes(samples: Float32Array, codes: ConverterCodes, first: number): number {
    const { decay, leak, gain, shift, lowest, highest, noise, noiseBlock } = this;
    const top = highest - lowest + 1;
    let { pole } = this;
    for (let k = 0; k < samples.length; k++) {
      const u = samples[k] ?? 0;
      const away = pole - u;
      pole = u + away * decay;
      const code = (u + away * leak) * gain + (noiseBlock[k] ?? 0) * noise + shift;
      codes[first + k] = (code < 0 ? 0 : code >= top ? top - 1 : Math.floor(code)) + lowest;
    }
    return pole;
  }
}

export function bandwidthOf({ bandwidth, antiAlias }: Wire): number {
  return antiAlias === undefined ? bandwidth : Math.min(bandwidth, antiAlias);
}

export function codesFor(bits: number, length: number): ConverterCodes {
  return bits <= 16 ? new Int16Array(length) : new Int32Array(length);
}
