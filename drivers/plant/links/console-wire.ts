import type { LampSide } from '../lamp-side.ts';
import { MessageFates } from './message-fates.ts';
import type { LinkTraits } from './traits.ts';
import { type ReceivedByte, receivedBytes } from './uart.ts';

/** Bits on the line for a byte: start, eight, stop. */
const bitsPerByte = 10;

/** The serial line to the lamp's console; every byte takes its time, whoever sends it. */
export class ConsoleWire {
  readonly #side: LampSide;
  readonly #fates: MessageFates;
  readonly #perByte: number;
  readonly #rate: number;
  /** Instant at which the line is free again, s. */
  #free = 0;

  constructor(side: LampSide, traits: LinkTraits, baud: number) {
    this.#side = side;
    this.#fates = new MessageFates(traits, 'console');
    this.#perByte = bitsPerByte / baud;
    this.#rate = traits.serialRate.console;
  }

  /** A whole line, or anything else as its bytes. */
  #tell(bytes: Uint8Array): void {
    const text = Buffer.from(bytes).toString('latin1');
    const [, line] = /^([^\r\n]*)\r?\n$/.exec(text) ?? [];
    const at = this.#free;
    if (line === undefined) this.#side.heard?.({ kind: 'console-bytes', at, bytes: [...bytes] });
    else this.#side.heard?.({ kind: 'console', at, line });
  }

  /** Puts bytes on the wire; returns the instant at which the last one is over. `arriving`: just before it arrives. */
  send(bytes: Uint8Array, arriving?: () => void): number {
    const { clock } = this.#side;
    const { lost, late } = this.#fates.next();
    const start = Math.max(clock.now(), this.#free);
    this.#free = start + bytes.length * this.#perByte;
    this.#tell(bytes);
    if (lost) return this.#free;
    const arrived = this.#arrived(bytes);
    const last = arrived.length - 1;
    arrived.forEach(({ at: after, byte, framingError }, index) => {
      const at = start + after + late;
      if (index === last && arriving) clock.schedule(at, arriving);
      const input = { link: 'console', byte, ...(framingError && { framingError }) } as const;
      this.#side.deliver(at, input, index === last);
    });
    return this.#free;
  }

  /** What the lamp's port takes the bytes for. */
  #arrived(bytes: Uint8Array): readonly ReceivedByte[] {
    const perByte = this.#perByte;
    if (this.#rate !== 1)
      return receivedBytes(bytes, { bitTime: perByte / bitsPerByte, stopBits: 1 }, this.#rate);
    return Array.from(bytes, (byte, index) => {
      return { byte, framingError: false, at: (index + 1) * perByte };
    });
  }
}
