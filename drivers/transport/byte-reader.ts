import type { BytePort } from './byte-port.ts';

/**
 * Where the next whole piece of the stream ends: bytes to take, or -1 while it is not there yet, or minus the number of
 * bytes that must have come before it is worth another look. Throws on nonsense.
 */
export type FindEnd = (bytes: Buffer) => number;

/** What was waited for when the port went away. */
export class PortGone extends Error {
  override readonly name = 'PortGone';
}

/** Takes whole pieces out of the stream of a port. One piece is awaited at a time. */
export class ByteReader {
  #chunks: Buffer[] = [];
  #length = 0;
  #wake: (() => void) | null = null;
  #gone: PortGone | null = null;

  constructor(port: BytePort) {
    port.listen({
      data: (bytes) => {
        this.#chunks.push(Buffer.from(bytes));
        this.#length += bytes.length;
        this.#wake?.();
      },
      gone: (why) => {
        this.#gone = new PortGone(why.message, { cause: why });
        this.#wake?.();
      },
    });
  }

  /** Bytes that have arrived and were not taken. */
  get waiting(): number {
    return this.#length;
  }

  get gone(): PortGone | null {
    return this.#gone;
  }

  /** Rejects with PortGone, with what `findEnd` throws, or with the signal's reason. */
  async take(findEnd: FindEnd, signal: AbortSignal): Promise<Buffer> {
    let enough = 1;
    for (;;) {
      signal.throwIfAborted();
      if (this.#length >= enough) {
        const bytes = this.#joined();
        const end = findEnd(bytes);
        if (end >= 0) {
          this.#keep(bytes.subarray(end));
          return bytes.subarray(0, end);
        }
        enough = Math.max(-end, bytes.length + 1);
      }
      if (this.#gone) throw this.#gone;
      await this.#more(signal);
    }
  }

  /** Throws away what has arrived, and returns it. */
  discard(): Buffer {
    const bytes = this.#joined();
    this.#keep(Buffer.alloc(0));
    return bytes;
  }

  #joined(): Buffer {
    const [only, ...others] = this.#chunks;
    if (only && others.length === 0) return only;
    const whole = Buffer.concat(this.#chunks);
    this.#chunks = [whole];
    return whole;
  }

  #keep(rest: Buffer): void {
    this.#chunks = [rest];
    this.#length = rest.length;
  }

  #more(signal: AbortSignal): Promise<void> {
    return new Promise((resolve) => {
      const wake = (): void => {
        this.#wake = null;
        signal.removeEventListener('abort', wake);
        resolve();
      };
      this.#wake = wake;
      signal.addEventListener('abort', wake, { once: true });
    });
  }
}

/** A line with its line feed. Throws RangeError, which finishes "it sent …", where one is too long to make sense. */
export function lineEnd(longest: number): FindEnd {
  return (bytes) => {
    const at = bytes.indexOf(0x0a);
    if (at < 0 && bytes.length > longest)
      throw new RangeError(`${bytes.length} bytes without a line end; expected at most ${longest}`);
    return at < 0 ? -1 : at + 1;
  };
}
