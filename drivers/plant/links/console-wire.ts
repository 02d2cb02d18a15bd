import type { LampSide } from '../lamp-side.ts';
import { MessageFates } from './message-fates.ts';
import type { LinkTraits } from './traits.ts';

/** Bits on the line for a byte: start, eight, stop. */
const bitsPerByte = 10;

/** The serial line to the lamp's console; every byte takes its time, whoever sends it. */
export class ConsoleWire {
  readonly #side: LampSide;
  readonly #fates: MessageFates;
  readonly #perByte: number;
  /** Instant at which the line is free again, s. */
  #free = 0;

  constructor(side: LampSide, traits: LinkTraits, baud: number) {
    this.#side = side;
    this.#fates = new MessageFates(traits, 'console');
    this.#perByte = bitsPerByte / baud;
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
    const last = bytes.length - 1;
    bytes.forEach((byte, index) => {
      const at = start + (index + 1) * this.#perByte + late;
      if (index === last && arriving) clock.schedule(at, arriving);
      this.#side.deliver(at, { link: 'console', byte }, index === last);
    });
    return this.#free;
  }
}
