import type { ModulatorSetup } from '../firmware/firmware.ts';

/** A modulator setup in force from `from` on. Positions count clocks (pulse density), periods (PWM) or seconds (analogue). */
export interface SetupSpan {
  readonly setup: ModulatorSetup;
  /** s; `until` is infinite while it is in force. */
  readonly from: number;
  until: number;
  /** Positions per second, as the lamp's oscillator really runs. */
  readonly pace: number;
  /** 2^bits: the register value that is fully on. */
  readonly full: number;
  /** Position at `from`: the phase shift of PWM. */
  readonly origin: number;
  /** Its runs: `firstRun` to before `endRun`, which is infinite while it is in force. */
  readonly firstRun: number;
  endRun: number;
}

/**
 * What one channel's modulator was told, in the order of time: runs of constant register value. A density takes effect
 * at the next bit clock; a PWM compare value when the counter wraps, as buffered timers do; an analogue code at once.
 * Each run remembers the accumulator at its start, so that any later instant follows in closed form.
 */
export class DriveLine {
  private readonly spans: SetupSpan[] = [];
  /** The setup in force. */
  span: SetupSpan | undefined;
  private runs = 0;
  private positions = new Float64Array(64);
  private values = new Int32Array(64);
  private phases = new Int32Array(64);

  /** A new setup from instant `at` on; its register starts at 0, its accumulator at `startPhase` of its range. */
  setUp(at: number, setup: ModulatorSetup, clockFactor: number, startPhase: number): void {
    const full = 2 ** setup.bits;
    const pace = clockFactor * nominalPace(setup);
    const origin = setup.kind === 'pwm' ? setup.phase : setup.kind === 'analogue' ? at : 0;
    if (this.span) {
      this.span.until = at;
      this.span.endRun = this.runs;
    }
    const open = { until: Number.POSITIVE_INFINITY, endRun: Number.POSITIVE_INFINITY };
    this.span = { setup, from: at, pace, full, origin, firstRun: this.runs, ...open };
    this.spans.push(this.span);
    this.push(origin, 0, Math.floor(startPhase * full) % full);
  }

  /** Register value of the last run: what the firmware wrote last. */
  get present(): number {
    return this.runs === 0 ? 0 : this.value(this.runs - 1);
  }

  /** Relative drive 0..1 written last. */
  get drive(): number {
    return this.span ? this.present / this.span.full : 0;
  }

  /** Writes the drive register at instant `at`. */
  write(at: number, value: number): void {
    const { span } = this;
    if (!span) return;
    const held = Math.min(span.full, Math.max(0, Math.round(value)));
    const last = this.runs - 1;
    if (held === this.values[last]) return;
    const position = takesEffect(span, at);
    // Written again before the last value took effect: the later one wins.
    if (position <= this.position(last)) {
      this.values[last] = held;
      return;
    }
    this.push(position, held, this.accumulator(last, position, span));
  }

  /** The setups in force from instant `t` on; all of them where `t` lies before the first. */
  spansFrom(t: number): readonly SetupSpan[] {
    // Nearly every firmware sets its modulators up once.
    if (this.spans.length === 1) return this.spans;
    const later = this.spans.findLastIndex(({ from }) => from <= t);
    return later <= 0 ? this.spans : this.spans.slice(later);
  }

  /** Position (see SetupSpan) at which a run starts. */
  position(run: number): number {
    return this.positions[run] ?? Number.POSITIVE_INFINITY;
  }

  /** Register value of a run. */
  value(run: number): number {
    return this.values[run] ?? 0;
  }

  /** Accumulator at the start of a run (pulse density). */
  phase(run: number): number {
    return this.phases[run] ?? 0;
  }

  /** First run after those of a span. */
  endRun({ endRun }: SetupSpan): number {
    return Math.min(endRun, this.runs);
  }

  /** Run of a span in force at `position`; its first one before it begins. */
  runAt(span: SetupSpan, position: number): number {
    let low = span.firstRun;
    let high = this.endRun(span);
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (this.position(middle) <= position) low = middle + 1;
      else high = middle;
    }
    return Math.max(span.firstRun, low - 1);
  }

  private accumulator(run: number, position: number, { setup, full }: SetupSpan): number {
    if (setup.kind !== 'pulse-density') return 0;
    const sum = this.phase(run) + (position - this.position(run)) * this.value(run);
    return sum < 2 ** 31 ? sum & (full - 1) : sum - Math.floor(sum / full) * full;
  }

  private push(position: number, value: number, phase: number): void {
    if (this.runs === this.positions.length) this.grow();
    const run = this.runs++;
    this.positions[run] = position;
    this.values[run] = value;
    this.phases[run] = phase;
  }

  private grow(): void {
    // Long strides: copies of large arrays cost the collector more than untouched memory does.
    const length = 4 * this.positions.length;
    const { positions, values, phases } = this;
    this.positions = new Float64Array(length);
    this.values = new Int32Array(length);
    this.phases = new Int32Array(length);
    this.positions.set(positions);
    this.values.set(values);
    this.phases.set(phases);
  }
}

/** Position of instant `t` in a span. */
export function positionOf({ origin, from, pace }: SetupSpan, t: number): number {
  return origin + (t - from) * pace;
}

/** Position at which the next span begins; infinite in the last one. */
export function endPosition(span: SetupSpan): number {
  return span.until === Number.POSITIVE_INFINITY ? span.until : positionOf(span, span.until);
}

/** Instant of a position, s. */
export function instantOf({ origin, from, pace }: SetupSpan, position: number): number {
  return from + (position - origin) / pace;
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
