import type { PinLine } from '../instruments/pin-line.ts';
import type { SignalSource } from './signal-source.ts';

/** V of a logic pin that is high. */
export const logicHigh = 3.3;

/** A digital pin as a voltage, averaged over the sample. */
export class PinSource implements SignalSource {
  private readonly pin: PinLine;

  constructor(pin: PinLine) {
    this.pin = pin;
  }

  fill(block: Float32Array, count: number, t0: number, dt: number): void {
    for (let k = 0; k < count; k++) {
      const from = t0 + k * dt;
      block[k] = (logicHigh * this.pin.highTime(from, from + dt)) / dt;
    }
  }
}
