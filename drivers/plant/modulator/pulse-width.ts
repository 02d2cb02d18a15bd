import { effectiveDuty, type PulseShape } from '../stage/pulse-shape.ts';
import { Runs } from './runs.ts';

/** On-time up to counter position `x` (periods) at duty `duty` 0..1, in periods: floor(x) * duty + min(x - floor(x), duty). */
function onPeriods(x: number, duty: number): number {
  const whole = Math.floor(x);
  return whole * duty + Math.min(x - whole, duty);
}

/**
 * Runs of pulse width. Positions are periods: a run with any duty starts where the counter wraps, so that its positions
 * are the counter's own.
 */
export class PulseWidthRuns extends Runs {
  private readonly shape: PulseShape;
  private readonly frequency: number;
  private readonly full: number;
  /** What an on-period adds to its sample. */
  private readonly scale: number;
  private duty = 0;

  /** `frequency` in Hz; `on` is the signal while the gate is on. */
  constructor(
    block: { readonly samples: Float32Array; readonly dt: number },
    { pace: frequency, full }: { readonly pace: number; readonly full: number },
    shape: PulseShape,
    on: number,
  ) {
    super(block.samples, block.dt * frequency);
    this.shape = shape;
    this.frequency = frequency;
    this.full = full;
    this.scale = on / this.perSample;
  }

  add(value: number): void {
    const { samples, zero, perSample, length, scale } = this;
    this.duty = effectiveDuty(this.shape, this.frequency, value / this.full);
    const { duty } = this;
    let k = 0;
    if (zero < 0) {
      k = Math.floor(-zero / perSample);
      if (k >= samples.length) return;
      this.addTo(k, onPeriods(Math.min(length, zero + (k + 1) * perSample), duty) * scale);
      k++;
    }
    const whole = this.wholeSamples();
    if (whole > k) {
      this.addWholeSamples(k, whole);
      k = whole;
    }
    const x = zero + k * perSample;
    if (k >= samples.length || x >= length) return;
    this.addTo(k, (onPeriods(length, duty) - onPeriods(x, duty)) * scale);
  }

  /** Adds to the samples `first`..`last`-1, which all lie wholly inside the run. */
  private addWholeSamples(first: number, last: number): void {
    const { samples, perSample, duty, scale } = this;
    if (duty === 0) return;
    const x = this.zero + first * perSample;
    let before = onPeriods(x, duty);
    for (let k = first; k < last; k++) {
      const after = onPeriods(x + (k + 1 - first) * perSample, duty);
      samples[k] = (samples[k] ?? 0) + (after - before) * scale;
      before = after;
    }
  }
}
