import { densityFit, effectiveDuty, type PulseShape } from '../stage/pulse-shape.ts';
import type { DriveLine } from './drive-line.ts';
import { addWholeSamples, onClocks } from './pulse-density.ts';
import { addWholeSamples as addWholePwmSamples, onPeriods } from './pulse-width.ts';

/** What a channel adds to a signal, in the signal's unit. */
export interface Contribution {
  /** While the gate is on. */
  readonly on: number;
  /** At an analogue drive of 0..1. */
  analogue(drive: number): number;
}

/**
 * Adds to each of the first `count` samples of `out` what a channel contributes on average over the sample: sample k
 * covers [t0 + k dt, t0 + (k+1) dt). Closed form: the cost is per sample and per run, never per bit clock.
 */
export function addGateMean(
  out: Float32Array,
  count: number,
  t0: number,
  dt: number,
  line: DriveLine,
  shape: PulseShape,
  contribution: Contribution,
): void {
  const end = t0 + count * dt;
  for (let index = Math.max(0, line.spanAt(t0)); index < line.spans.length; index++) {
    if (line.spans[index]!.from >= end) return;
    addSpan(out, count, t0, dt, line, index, shape, contribution);
  }
}

function addSpan(
  out: Float32Array,
  count: number,
  t0: number,
  dt: number,
  line: DriveLine,
  index: number,
  shape: PulseShape,
  contribution: Contribution,
): void {
  const { setup, full, pace } = line.spans[index]!;
  const perSample = dt * pace;
  const start = line.positionOf(index, t0);
  const spanEnd = line.endPosition(index);
  const stop = Math.min(spanEnd, start + count * perSample);
  const last = line.endOfSpan(index);
  const { on } = contribution;
  const densities =
    setup.kind === 'pulse-density'
      ? new DensityRuns(out, count, perSample, shape, pace, full, on)
      : null;
  for (let run = line.runAt(index, start); run < last && line.position[run]! < stop; run++) {
    const value = line.value[run]!;
    if (value === 0) continue;
    const begin = line.position[run]!;
    const runEnd = run + 1 < last ? Math.min(spanEnd, line.position[run + 1]!) : spanEnd;
    // Positions within the run: of the first sample's start, and of the run's end.
    const zero = start - begin;
    const length = runEnd - begin;
    if (densities) {
      densities.zero = zero;
      densities.length = length;
      densities.add(line.phase[run]!, value);
    } else if (setup.kind === 'pwm') {
      const duty = effectiveDuty(shape, pace, value / full);
      addPwm(out, count, zero, perSample, length, duty, on / perSample);
    } else {
      addLevel(out, count, zero, perSample, length, contribution.analogue(value / full));
    }
  }
}

/**
 * Runs of pulse density, added one after another. A fade writes a run each millisecond and channel, so that what a run
 * costs beside its samples counts: figures of a run are fields, since fractions passed as arguments are allocated.
 */
class DensityRuns {
  /** Position within the run of the first sample's start, and of the run's end, clocks. */
  zero = 0;
  length = 0;
  private slope = 0;
  private base = 0;
  private readonly out: Float32Array;
  private readonly count: number;
  private readonly perSample: number;
  private readonly shape: PulseShape;
  private readonly clock: number;
  private readonly full: number;
  private readonly on: number;
  private readonly simple: boolean;
  private readonly low: number;
  private readonly high: number;

  constructor(
    out: Float32Array,
    count: number,
    perSample: number,
    shape: PulseShape,
    clock: number,
    full: number,
    on: number,
  ) {
    this.out = out;
    this.count = count;
    this.perSample = perSample;
    this.shape = shape;
    this.clock = clock;
    this.full = full;
    this.on = on;
    this.simple = shape.overshoot === 0 && shape.shortestPulse === 0 && shape.riseTime * clock <= 1;
    this.low = densityFit(shape, clock, 1, full).slope;
    this.high = densityFit(shape, clock, full - 1, full).slope;
  }

  /** Adds the run of `density` that begins with the accumulator at `phase`. */
  add(phase: number, density: number): void {
    this.fit(density);
    const { out, count, perSample, full, zero, length } = this;
    const scale = (this.on * this.slope) / perSample;
    const base = this.on * this.base;
    const perClock = base === 0 ? 0 : base / perSample;
    let k = 0;
    let x = zero;
    // Clocks of the run that were on before `x`.
    let before = 0;
    if (zero < 0) {
      // The run begins inside sample k.
      k = Math.floor(-zero / perSample);
      if (k >= count) return;
      x = zero + (k + 1) * perSample;
      const to = Math.min(length, x);
      before = onClocks(to, phase, density, full);
      out[k]! += before * scale + to * perClock;
      k++;
    } else before = onClocks(x, phase, density, full);
    const whole = Math.min(count, Math.floor((length - zero) / perSample));
    if (whole > k) {
      addWholeSamples(out, k, whole, x, perSample, phase, density, full, scale, base);
      k = whole;
      x = zero + k * perSample;
      if (k < count && x < length) before = onClocks(x, phase, density, full);
    }
    if (k >= count || x >= length) return;
    const ones = onClocks(length, phase, density, full) - before;
    out[k]! += ones * scale + (length - x) * perClock;
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
}

/** A run with any duty starts where the counter wraps, so that its positions are the counter's own. */
function addPwm(
  out: Float32Array,
  count: number,
  zero: number,
  perSample: number,
  length: number,
  duty: number,
  scale: number,
): void {
  let k = 0;
  if (zero < 0) {
    k = Math.floor(-zero / perSample);
    if (k >= count) return;
    out[k]! += onPeriods(Math.min(length, zero + (k + 1) * perSample), duty) * scale;
    k++;
  }
  const whole = Math.min(count, Math.floor((length - zero) / perSample));
  if (whole > k) {
    addWholePwmSamples(out, k, whole, zero + k * perSample, perSample, duty, scale);
    k = whole;
  }
  const x = zero + k * perSample;
  if (k >= count || x >= length) return;
  out[k]! += (onPeriods(length, duty) - onPeriods(x, duty)) * scale;
}

function addLevel(
  out: Float32Array,
  count: number,
  zero: number,
  perSample: number,
  length: number,
  level: number,
): void {
  const first = Math.max(0, Math.floor(-zero / perSample));
  const last = Math.min(count, Math.ceil((length - zero) / perSample));
  for (let k = first; k < last; k++) {
    const from = Math.max(0, zero + k * perSample);
    const to = Math.min(length, zero + (k + 1) * perSample);
    if (to > from) out[k]! += (level * (to - from)) / perSample;
  }
}
