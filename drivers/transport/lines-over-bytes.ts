import type { DriverClock } from '../driver-clock.ts';
import type { BytePort } from './byte-port.ts';
import { ByteReader, lineEnd } from './byte-reader.ts';
import type { LinePort, OpenLinePort } from './line-port.ts';
import { lineText } from './line-text.ts';

/** Seconds without a byte after which nothing more of an earlier conversation is on its way. */
const leftOver = 0.03;
/** Converters and systems hold bytes back for a while, and a lamp may log before it answers, s. */
const quietTime = 0.25;

/**
 * Lines over a serial port or a TCP connection. A port is handed out when it has been quiet: a late line must not pass
 * for an answer. Without a line end within `longest` bytes nothing is a line.
 */
export function openLines(
  open: (signal: AbortSignal) => Promise<BytePort>,
  longest: number,
  clock: DriverClock,
): OpenLinePort {
  return async (signal) => {
    const lines = new LinesOverBytes(await open(signal), longest, clock);
    try {
      await lines.quiet(signal);
      return lines;
    } catch (error) {
      await lines.close();
      throw error;
    }
  };
}

class LinesOverBytes implements LinePort {
  readonly answerTime = Number.POSITIVE_INFINITY;
  readonly quietTime = quietTime;
  readonly #port: BytePort;
  readonly #reader: ByteReader;
  readonly #longest: number;
  readonly #clock: DriverClock;

  constructor(port: BytePort, longest: number, clock: DriverClock) {
    this.#port = port;
    this.#reader = new ByteReader(port);
    this.#longest = longest;
    this.#clock = clock;
  }

  get gone(): boolean {
    return this.#reader.gone !== null;
  }

  get waiting(): number {
    return this.#reader.waiting;
  }

  /** Throws away what comes until nothing comes any more. */
  async quiet(signal: AbortSignal): Promise<void> {
    do {
      this.discard();
      await this.#clock.waitUntil(this.#clock.now() + leftOver, signal);
    } while (this.#reader.waiting > 0);
  }

  write(bytes: Uint8Array): Promise<void> {
    return this.#port.write(bytes);
  }

  async read(until: number, signal: AbortSignal): Promise<string | null> {
    const enough = new AbortController();
    const callOff =
      until < Number.POSITIVE_INFINITY ? this.#clock.schedule(until, () => enough.abort()) : null;
    try {
      const either = AbortSignal.any([signal, enough.signal]);
      const line = await this.#reader.take(lineEnd(this.#longest), either);
      return lineText(line);
    } catch (error) {
      if (enough.signal.aborted && !signal.aborted && !this.gone) return null;
      throw error;
    } finally {
      callOff?.();
    }
  }

  discard(): void {
    this.#reader.discard();
  }

  close(): Promise<void> {
    return this.#port.close();
  }
}
