import { densityFit, type PulseShape } from '../stage/pulse-shape.ts';
import { Runs } from './runs.ts';

/**
 * First-order pulse density: each clock the accumulator (modulo `full`, a power of two) takes `density` (0..full) more;
 * a carry makes the clock one. Ones in the first n clocks of a run that starts with the accumulator at `phase`
 * (0..full-1): floor((phase + n * density) / full).
 */

/** On-time within the first `x` clocks of a run, in clocks; `x` need not be whole: the last clock counts by its part. */
function onClocks(x: number, phase: number, density: number, full: number): number {
  const whole = Math.floor(x);
  const sum = phase + whole * density;
  // The same twice: whole numbers of 31 bits are shifted, which is much faster than a division.
  if (sum < 2 ** 31) {
    const bits = 31 - Math.clz32(full);
    const short = sum | 0;
    const ones = short >> bits;
    return (short & (full - 1)) + density >= full ? ones + x - whole : ones;
  }
  const ones = Math.floor(sum / full);
  return sum - ones * full + density >= full ? ones + x - whole : ones;
}

/** Runs of pulse density. Positions are clocks. */
export class DensityRuns extends Runs {
  private readonly shape: PulseShape;
  private readonly clock: number;
  private readonly full: number;
  private readonly on: number;
  /** The pulses have no surge and none is lost: see `fit`. */
  private readonly simple: boolean;
  private readonly low: number;
  private readonly high: number;
  private slope = 0;
  private base = 0;
  /** What an on-clock adds to its sample, and what each sample gets besides. */
  private perClock = 0;
  private perWhole = 0;
  /** Position at which the next sample starts. */
  private x = 0;

  /** `clock` in Hz; `on` is the signal while the gate is on. */
  constructor(
    block: { readonly samples: Float32Array; readonly dt: number },
    { pace: clock, full }: { readonly pace: number; readonly full: number },
    shape: PulseShape,
    on: number,
  ) {
    super(block.samples, block.dt * clock);
    this.shape = shape;
    this.clock = clock;
    this.full = full;
    this.on = on;
    this.simple = shape.overshoot === 0 && shape.shortestPulse === 0 && shape.riseTime * clock <= 1;
    this.low = densityFit(shape, clock, 1, full).slope;
    this.high = densityFit(shape, clock, full - 1, full).slope;
  }

  add(density: number, phase: number): void {
    this.fit(density);
    const { samples, perSample, full, zero, length } = this;
    this.perClock = (this.on * this.slope) / perSample;
    this.perWhole = this.on * this.base;
    const basePerClock = this.perWhole === 0 ? 0 : this.perWhole / perSample;
    let k = 0;
    this.x = zero;
    // Clocks of the run that were on before `x`.
    let before = 0;
    if (zero < 0) {
      // The run begins inside sample k.
      k = Math.floor(-zero / perSample);
      if (k >= samples.length) return;
      this.x = zero + (k + 1) * perSample;
      const to = Math.min(length, this.x);
      before = onClocks(to, phase, density, full);
      this.addTo(k, before * this.perClock + to * basePerClock);
      k++;
    } else before = onClocks(this.x, phase, density, full);
    const whole = this.wholeSamples();
    if (whole > k) {
      this.addWholeSamples(k, whole, density, phase);
      k = whole;
      this.x = zero + k * perSample;
      if (k < samples.length && this.x < length) before = onClocks(this.x, phase, density, full);
    }
    if (k >= samples.length || this.x >= length) return;
    const ones = onClocks(length, phase, density, full) - before;
    this.addTo(k, ones * this.perClock + (length - this.x) * basePerClock);
  }

  /** densityFit of the run's density. Without surges and lost pulses there are only two answers. */
  private fit(density: number): void {
    if (this.simple) {
      const above = 2 * density > this.full;
      this.slope = density === this.full ? 1 : above ? this.high : this.low;
      this.base = above ? 1 - this.slope : 0;
      return;
    }
    const { slope, base } = densityFit(this.shape, this.clock, density, this.full);
    this.slope = slope;
    this.base = base;
  }

  /**
   * Adds to the samples `first`..`last`-1, which all lie wholly inside the run. Integers throughout but for the part of
   * a clock at the samples' ends, so that the cost is per sample, not per clock.
   */
  private addWholeSamples(first: number, last: number, density: number, phase: number): void {
    const { samples, perSample, full, perClock: scale, perWhole: base, x } = this;
    if (density === 0 || density === full) {
      this.addLevel(first, last, base + (density === 0 ? 0 : scale * perSample));
      return;
    }
    const stride = Math.floor(perSample);
    if (stride * full >= 2 ** 30) {
      this.addLongSamples(first, last, density, phase);
      return;
    }
    const bits = 31 - Math.clz32(full);
    const mask = (full - 1) | 0;
    const d = density | 0;
    const step = (stride * d) | 0;
    const rest = perSample - stride;
    const whole = Math.floor(x);
    const sum = phase + whole * density;
    let part = x - whole;
    let accumulator = sum < 2 ** 31 ? sum & mask : (sum - Math.floor(sum / full) * full) | 0;
    let before = ((accumulator + d) >>> bits) * part;
    for (let k = first; k < last; k++) {
      part += rest;
      if (part >= 1) {
        part -= 1;
        accumulator = (accumulator + d) | 0;
      }
      accumulator = (accumulator + step) | 0;
      const ones = accumulator >>> bits;
      accumulator &= mask;
      const after = ((accumulator + d) >>> bits) * part;
      samples[k] = (samples[k] ?? 0) + ((ones + after - before) * scale + base);
      before = after;
    }
  }

  private addLevel(first: number, last: number, level: number): void {
    if (level === 0) return;
    const { samples } = this;
    for (let k = first; k < last; k++) samples[k] = (samples[k] ?? 0) + level;
  }

  /** The same for samples of so many clocks that 32 bits do not hold the sum. */
  private addLongSamples(first: number, last: number, density: number, phase: number): void {
    const { samples, perSample, full, perClock, perWhole, x } = this;
    let before = onClocks(x, phase, density, full);
    for (let k = first; k < last; k++) {
      const after = onClocks(x + (k + 1 - first) * perSample, phase, density, full);
      samples[k] = (samples[k] ?? 0) + ((after - before) * perClock + perWhole);
      before = after;
    }
  }
}
