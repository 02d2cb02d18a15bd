import type { SampleBlock } from '../sample-block.ts';
import type { SignalSource } from './signal-source.ts';

/** Edges of a digital pin, in order of time. */
export class PinLine {
  /** Instants at which the pin changes, s; it is low before the first. */
  readonly edges: number[] = [];

  get high(): boolean {
    return this.edges.length % 2 === 1;
  }

  set(at: number, high: boolean): void {
    if (high === this.high) return;
    // A pulse of no length never was; one that was to end later ends now.
    const last = this.edges[this.edges.length - 1] ?? Number.NEGATIVE_INFINITY;
    if (last >= at) this.edges.pop();
    else this.edges.push(at);
  }

  /** Seconds for which the pin is high within [from, to). */
  highTime(from: number, to: number): number {
    let sum = 0;
    for (let i = this.firstAfter(from); i < this.edges.length; i += 2) {
      const start = this.edge(i);
      if (start >= to) break;
      const end = this.edge(i + 1);
      sum += Math.max(0, Math.min(end, to) - Math.max(start, from));
    }
    return sum;
  }

  /** Instant of an edge; never where there is none. */
  private edge(index: number): number {
    return this.edges[index] ?? Number.POSITIVE_INFINITY;
  }

  /** Index of the rising edge of the first pulse that ends after `from`. */
  private firstAfter(from: number): number {
    let low = 0;
    let high = this.edges.length;
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (this.edge(middle) <= from) low = middle + 1;
      else high = middle;
    }
    return low - (low % 2);
  }
}

/** V of a logic pin that is high. */
const logicHigh = 3.3;

/** A digital pin as a voltage, averaged over the sample. */
export class PinSource implements SignalSource {
  private readonly pin: PinLine;

  constructor(pin: PinLine) {
    this.pin = pin;
  }

  fill({ samples, t0, dt }: SampleBlock): void {
    for (let k = 0; k < samples.length; k++) {
      const from = t0 + k * dt;
      samples[k] = (logicHigh * this.pin.highTime(from, from + dt)) / dt;
    }
  }
}
