import type { LinePort } from '../../transport/line-port.ts';
import { lineText } from '../../transport/line-text.ts';
import type { LampSide } from '../lamp-side.ts';
import type { ConsoleWire } from './console-wire.ts';
import type { LinkTraits } from './traits.ts';
import { receivedBytes } from './uart.ts';

/** Seconds from look to look for a line that is late: converters hand over what has arrived at such a pace. */
const handOver = 1e-3;
/** The lamp's bytes come one by one: only their bits matter. */
const answerLine = { bitTime: 1, stopBits: 1 } as const;
const lineFeed = 0x0a;
/** Bytes that wait to be read. */
const mostHeard = 2 ** 20;

/** A computer's port on the wire to the lamp's console. */
export class ConsolePort implements LinePort {
  /** A lamp that has said nothing for half a second will not. */
  readonly answerTime = 0.5;
  /** The wire holds nothing back: what has not arrived when a message is over is not waited for. */
  readonly quietTime = 0;
  readonly gone = false;
  readonly waiting = 0;
  readonly #wire: ConsoleWire;
  readonly #side: LampSide;
  #heard: number[] = [];

  constructor(wire: ConsoleWire, side: LampSide, traits: Pick<LinkTraits, 'serialRate'>) {
    this.#wire = wire;
    this.#side = side;
    const rate = 1 / traits.serialRate.console;
    side.listen((link, byte) => {
      if (link !== 'console') return;
      if (rate === 1) this.#hear(byte);
      else for (const heard of receivedBytes([byte], answerLine, rate)) this.#hear(heard.byte);
    });
  }

  /** A lamp that never ends a line is no more listened to. */
  #hear(byte: number): void {
    if (this.#heard.length < mostHeard) this.#heard.push(byte);
  }

  write(bytes: Uint8Array, signal: AbortSignal): Promise<void> {
    return this.#side.clock.waitUntil(this.#wire.send(bytes), signal);
  }

  async read(until: number, signal: AbortSignal): Promise<string | null> {
    const { clock } = this.#side;
    for (;;) {
      const end = this.#heard.indexOf(lineFeed);
      if (end >= 0) return lineText(Uint8Array.from(this.#heard.splice(0, end + 1)));
      if (clock.now() >= until) return null;
      await clock.waitUntil(clock.now() + handOver, signal);
    }
  }

  discard(): void {
    this.#heard = [];
  }

  close(): Promise<void> {
    return Promise.resolve();
  }
}
