import { densityFit, effectiveDuty, type PulseShape } from '../stage/pulse-shape.ts';
import type { DriveLine, SetupSpan } from './drive-line.ts';
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
  let run = Math.max(0, line.runAt(t0));
  let spanIndex = line.runs > 0 ? line.spanOf(run) : 0;
  for (; run < line.runs && line.time[run]! < end; run++) {
    while ((line.spans[spanIndex + 1]?.firstRun ?? Number.POSITIVE_INFINITY) <= run) spanIndex++;
    const value = line.value[run]!;
    if (value === 0) continue;
    const span = line.spans[spanIndex]!;
    const until = run + 1 < line.runs ? line.time[run + 1]! : Number.POSITIVE_INFINITY;
    addRun(out, count, t0, dt, line, run, until, span, value, shape, contribution);
  }
}

function addRun(
  out: Float32Array,
  count: number,
  t0: number,
  dt: number,
  line: DriveLine,
  run: number,
  until: number,
  span: SetupSpan,
  value: number,
  shape: PulseShape,
  contribution: Contribution,
): void {
  const { setup, full, pace, from, origin } = span;
  // Positions within the run: of the first sample's start, per sample, and of the run's end.
  const perSample = dt * pace;
  const start = line.position[run]!;
  const zero = origin + (t0 - from) * pace - start;
  const length = (until - line.time[run]!) * pace;
  switch (setup.kind) {
    case 'pulse-density': {
      const fit = densityFit(shape, pace, value, full);
      const scale = (contribution.on * fit.slope) / perSample;
      const base = contribution.on * fit.base;
      addDensity(out, count, zero, perSample, length, line.phase[run]!, value, full, scale, base);
      return;
    }
    case 'pwm': {
      const duty = effectiveDuty(shape, pace, value / full);
      addPwm(out, count, zero, perSample, length, duty, contribution.on / perSample);
      return;
    }
    case 'analogue':
      addLevel(out, count, zero, perSample, length, contribution.analogue(value / full));
  }
}

function addDensity(
  out: Float32Array,
  count: number,
  zero: number,
  perSample: number,
  length: number,
  phase: number,
  density: number,
  full: number,
  scale: number,
  base: number,
): void {
  const perClock = base / perSample;
  let k = 0;
  if (zero < 0) {
    // The run begins inside sample k.
    k = Math.floor(-zero / perSample);
    if (k >= count) return;
    const to = Math.min(length, zero + (k + 1) * perSample);
    out[k]! += onClocks(to, phase, density, full) * scale + to * perClock;
    k++;
  }
  const whole = Math.min(count, Math.floor((length - zero) / perSample));
  if (whole > k) {
    const x = zero + k * perSample;
    addWholeSamples(out, k, whole, x, perSample, phase, density, full, scale, base);
    k = whole;
  }
  const x = zero + k * perSample;
  if (k >= count || x >= length) return;
  const ones = onClocks(length, phase, density, full) - onClocks(x, phase, density, full);
  out[k]! += ones * scale + (length - x) * perClock;
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
