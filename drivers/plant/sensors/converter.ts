import type { Wire } from '../../../harness/bench/rig.ts';
import type { CalibrationError } from './calibration-error.ts';
import type { NoiseSource } from './noise-source.ts';

export type Codes = Int16Array | Int32Array;

/** Largest division of the converter's range. */
const smallestRange = 1 / 64;

/** The range of a converter that is +-full scale or a power of two below it. Unit of the wire. */
export function rangeFor(wire: Wire, expectedPeak: number | undefined): number {
  let range = wire.fullScale;
  if (expectedPeak === undefined || expectedPeak <= 0) return range;
  while (range / 2 >= expectedPeak && range / 2 >= wire.fullScale * smallestRange) range /= 2;
  return range;
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
  private readonly shift: number;
  private readonly noise: number;
  private readonly source: NoiseSource;
  private readonly noiseBlock: Float32Array;
  private pole = 0;

  constructor(
    wire: Wire,
    range: number,
    dt: number,
    error: CalibrationError,
    noise: { readonly source: NoiseSource; readonly factor: number },
    options: { readonly filtered: boolean; readonly blockLength: number },
  ) {
    const { bits } = wire;
    this.highest = 2 ** (bits - 1) - 1;
    this.lowest = -(2 ** (bits - 1));
    this.step = range / 2 ** (bits - 1);
    const a = 2 * Math.PI * bandwidthOf(wire) * dt;
    this.decay = options.filtered ? 0 : Math.exp(-a);
    this.leak = options.filtered || !Number.isFinite(a) ? 0 : -Math.expm1(-a) / a;
    this.gain = (1 + error.scale) / this.step;
    this.shift = error.offset / this.step;
    this.noise = (noise.factor * wire.noise) / this.step;
    this.source = noise.source;
    this.noiseBlock = new Float32Array(options.blockLength);
  }

  /** The signal before the record, so that the pole has settled when it begins. */
  settle(block: Float32Array, count: number): void {
    for (let k = 0; k < count; k++) this.pole = block[k]! + (this.pole - block[k]!) * this.decay;
  }

  /** Codes of the first `count` samples of `block`, from code `first` on. */
  convert(block: Float32Array, count: number, codes: Codes, first: number): void {
    const { lowest, highest, noiseBlock } = this;
    this.source.fill(noiseBlock, count);
    const top = highest - lowest + 1;
    this.pole = this.putCodes(codes, first, block, count, this.shift + 0.5 - lowest, top);
  }

  /** The loop alone, so that it is compiled once; returns the pole's last state. */
  private putCodes(
    codes: Codes,
    first: number,
    block: Float32Array,
    count: number,
    shift: number,
    top: number,
  ): number {
    const { decay, leak, gain, lowest, noise, noiseBlock } = this;
    let { pole } = this;
    for (let k = 0; k < count; k++) {
      const u = block[k]!;
      const away = pole - u;
      pole = u + away * decay;
      const code = (u + away * leak) * gain + noiseBlock[k]! * noise + shift;
      codes[first + k] = (code < 0 ? 0 : code >= top ? top - 1 : Math.floor(code)) + lowest;
    }
    return pole;
  }
}

export function bandwidthOf({ bandwidth, antiAlias }: Wire): number {
  return antiAlias === undefined ? bandwidth : Math.min(bandwidth, antiAlias);
}

export function codesFor(bits: number, length: number): Codes {
  return bits <= 16 ? new Int16Array(length) : new Int32Array(length);
}
