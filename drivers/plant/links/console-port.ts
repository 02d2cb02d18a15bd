import type { LinePort } from '../../transport/line-port.ts';
import type { LampSide } from '../lamp-side.ts';
import type { ConsoleWire } from './console-wire.ts';

/** Seconds from look to look for a line that is late: converters hand over what has arrived at such a pace. */
const handOver = 1e-3;

/** A computer's port on the wire to the lamp's console. */
export class ConsolePort implements LinePort {
  /** A lamp that has said nothing for half a second will not. */
  readonly answerTime = 0.5;
  /** The wire holds nothing back: what has not arrived when a message is over is not waited for. */
  readonly quietTime = 0;
  readonly gone = false;
  readonly #wire: ConsoleWire;
  readonly #side: LampSide;
  #heard = '';

  constructor(wire: ConsoleWire, side: LampSide) {
    this.#wire = wire;
    this.#side = side;
    side.listen((link, byte) => {
      if (link === 'console') this.#heard += String.fromCharCode(byte);
    });
  }

  write(bytes: Uint8Array, signal: AbortSignal): Promise<void> {
    return this.#side.clock.waitUntil(this.#wire.send(bytes), signal);
  }

  async read(until: number, signal: AbortSignal): Promise<string | null> {
    const { clock } = this.#side;
    for (;;) {
      const end = this.#heard.indexOf('\n');
      if (end >= 0) {
        const line = this.#heard.slice(0, end).replace(/\r$/, '');
        this.#heard = this.#heard.slice(end + 1);
        return line;
      }
      if (clock.now() >= until) return null;
      await clock.waitUntil(clock.now() + handOver, signal);
    }
  }

  discard(): void {
    this.#heard = '';
  }

  close(): Promise<void> {
    return Promise.resolve();
  }
}
