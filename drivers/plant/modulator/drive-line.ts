import type { ModulatorSetup } from '../firmware/firmware.ts';

/** A modulator setup in force from `from` on. Positions count clocks (pulse density), periods (PWM) or seconds (analogue). */
export interface SetupSpan {
  readonly setup: ModulatorSetup;
  /** s */
  readonly from: number;
  /** Positions per second, as the lamp's oscillator really runs. */
  readonly pace: number;
  /** 2^bits: the register value that is fully on. */
  readonly full: number;
  /** Position at `from`: the phase shift of PWM. */
  readonly origin: number;
  /** First run of this span. */
  readonly firstRun: number;
}

/**
 * What one channel's modulator was told, in the order of time: runs of constant register value. A density takes effect
 * at the next bit clock; a PWM compare value when the counter wraps, as buffered timers do; an analogue code at once.
 * Each run remembers the accumulator at its start, so that any later instant follows in closed form.
 */
export class DriveLine {
  readonly spans: SetupSpan[] = [];
  runs = 0;
  /** Position (see SetupSpan) at which the run starts. */
  position = new Float64Array(64);
  value = new Int32Array(64);
  /** Accumulator at the start of the run (pulse density). */
  phase = new Int32Array(64);

  /** A new setup from instant `at` on; its register starts at 0, its accumulator at `startPhase` of its range. */
  setUp(at: number, setup: ModulatorSetup, clockFactor: number, startPhase: number): void {
    const full = 2 ** setup.bits;
    const pace = clockFactor * nominalPace(setup);
    const origin = setup.kind === 'pwm' ? setup.phase : setup.kind === 'analogue' ? at : 0;
    this.spans.push({ setup, from: at, pace, full, origin, firstRun: this.runs });
    this.push(origin, 0, Math.floor(startPhase * full) % full);
  }

  /** Register value at the last run: what the firmware wrote last. */
  get present(): number {
    return this.runs === 0 ? 0 : this.value[this.runs - 1]!;
  }

  /** Relative drive 0..1 written last. */
  get drive(): number {
    const span = this.spans[this.spans.length - 1];
    return span ? this.present / span.full : 0;
  }

  /** Writes the drive register at instant `at`. */
  write(at: number, value: number): void {
    const span = this.spans[this.spans.length - 1];
    if (!span) return;
    const held = Math.min(span.full, Math.max(0, Math.round(value)));
    const last = this.runs - 1;
    if (held === this.value[last]) return;
    const position = takesEffect(span, at);
    // Written again before the last value took effect: the later one wins.
    if (position <= this.position[last]!) {
      this.value[last] = held;
      return;
    }
    this.push(position, held, this.accumulator(last, position, span));
  }

  /** Number of the span in force at instant `t`, -1 before the first. */
  spanAt(t: number): number {
    let index = this.spans.length - 1;
    while (index >= 0 && this.spans[index]!.from > t) index--;
    return index;
  }

  /** First run after those of a span. */
  endOfSpan(index: number): number {
    return this.spans[index + 1]?.firstRun ?? this.runs;
  }

  /** Run of span `index` in force at `position`; its first one before it begins. */
  runAt(index: number, position: number): number {
    const first = this.spans[index]!.firstRun;
    let low = first;
    let high = this.endOfSpan(index);
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (this.position[middle]! <= position) low = middle + 1;
      else high = middle;
    }
    return Math.max(first, low - 1);
  }

  /** Position of instant `t` in a span; where the span ends: the position at which the next one begins. */
  positionOf(index: number, t: number): number {
    const { origin, from, pace } = this.spans[index]!;
    return origin + (t - from) * pace;
  }

  endPosition(index: number): number {
    const next = this.spans[index + 1];
    return next ? this.positionOf(index, next.from) : Number.POSITIVE_INFINITY;
  }

  /** Instant of a position, s. */
  instantOf(index: number, position: number): number {
    const { origin, from, pace } = this.spans[index]!;
    return from + (position - origin) / pace;
  }

  private accumulator(run: number, position: number, { setup, full }: SetupSpan): number {
    if (setup.kind !== 'pulse-density') return 0;
    const sum = this.phase[run]! + (position - this.position[run]!) * this.value[run]!;
    return sum < 2 ** 31 ? sum & (full - 1) : sum - Math.floor(sum / full) * full;
  }

  private push(position: number, value: number, phase: number): void {
    if (this.runs === this.position.length) this.grow();
    const run = this.runs++;
    this.position[run] = position;
    this.value[run] = value;
    this.phase[run] = phase;
  }

  private grow(): void {
    // Long strides: copies of large arrays cost the collector more than untouched memory does.
    const length = 4 * this.position.length;
    const { position, value, phase } = this;
    this.position = new Float64Array(length);
    this.value = new Int32Array(length);
    this.phase = new Int32Array(length);
    this.position.set(position);
    this.value.set(value);
    this.phase.set(phase);
  }
}

function nominalPace(setup: ModulatorSetup): number {
  if (setup.kind === 'pulse-density') return setup.clock;
  return setup.kind === 'pwm' ? setup.frequency : 1;
}

/** First position at or after `at` at which the hardware looks at its register. */
function takesEffect({ setup, from, pace, origin }: SetupSpan, at: number): number {
  const position = origin + (at - from) * pace;
  if (setup.kind === 'analogue') return position;
  // A write that falls on an edge but for rounding is in time for it.
  return Math.ceil(position - 1e-6);
}
