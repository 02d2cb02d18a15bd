import type { BytePort } from '../transport/byte-port.ts';

/** What a lamp tells of a variable of its firmware. */
interface ToldProbe {
  readonly name: string;
  readonly value: number;
  /** Empty for a bare number. */
  readonly unit: string;
}

const begins = Buffer.from('probe ');
const lineFeed = 0x0a;
/** Bytes of a line that may still become one. */
const longest = 100;
const shape =
  /^probe ([a-z0-9][a-z0-9-]{0,31}) (-?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?)(?: (\S{1,12}))?\r?\n$/;

/**
 * A port whose lines `probe NAME VALUE UNIT` (the unit may be missing) are told as they come, and are no part of what it hands on: they are
 * never an answer to a command, whenever they come. Everything else goes through as it is, at once.
 */
export function withoutProbes(port: BytePort, tell: (probe: ToldProbe) => void): BytePort {
  const lines = new ProbeLines(tell);
  return {
    address: port.address,
    listen: (listener) =>
      port.listen({
        data: (bytes) => {
          const rest = lines.take(bytes);
          if (rest.length > 0) listener.data(rest);
        },
        gone: (why) => listener.gone(why),
      }),
    write: (bytes) => port.write(bytes),
    close: () => port.close(),
  };
}

class ProbeLines {
  readonly #tell: (probe: ToldProbe) => void;
  /** Bytes of a line that may be a probe's. */
  #held: number[] = [];
  /** The line that is coming is another one. */
  #isOther = false;

  constructor(tell: (probe: ToldProbe) => void) {
    this.#tell = tell;
  }

  /** What is left of the bytes. */
  take(bytes: Uint8Array): Uint8Array {
    const rest: number[] = [];
    for (const byte of bytes) {
      this.#held.push(byte);
      if (byte === lineFeed) {
        if (this.#isOther || !this.#isTold()) rest.push(...this.#held);
        this.#isOther = false;
        this.#held = [];
      } else if (this.#isOther || !this.#mayBecome()) {
        this.#isOther = true;
        rest.push(...this.#held);
        this.#held = [];
      }
    }
    return Uint8Array.from(rest);
  }

  #mayBecome(): boolean {
    const held = this.#held;
    return (
      held.length <= longest && held.every((byte, k) => k >= begins.length || byte === begins[k])
    );
  }

  #isTold(): boolean {
    const text = Buffer.from(this.#held).toString('utf8');
    const [, name, digits, unit = ''] = shape.exec(text) ?? [];
    const value = Number(digits);
    if (name === undefined || !Number.isFinite(value)) return false;
    this.#tell({ name, value, unit });
    return true;
  }
}
