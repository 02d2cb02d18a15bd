import type { DriverClock } from '../driver-clock.ts';
import type { LinePort, OpenLinePort } from './line-port.ts';
import { Mutex } from './mutex.ts';
import { noAnswer, settledOrTimeout } from './with-deadline.ts';

/** Seconds that a system may take to give a port back. */
const release = 1;

/** The lines of one turn. */
export interface Lines {
  /** Throws away what has arrived, then sends the text and a line feed. */
  send(text: string): Promise<void>;
  /** Sends bytes as they are. */
  write(bytes: Uint8Array): Promise<void>;
  /** The next line without its end. Rejects with BenchError `timeout` when whoever should answer does not. */
  answer(): Promise<string>;
  /** The next line without its end, or null after so many seconds without one. */
  next(patience: number): Promise<string | null>;
  /** Reads away what comes, until nothing more is on its way. */
  settle(): Promise<void>;
}

/**
 * A conversation in lines, one turn at a time. The port is opened by the first call; after a call that failed or was
 * given up it is closed, and the next one opens it again: a late line must not pass for an answer.
 */
export class LineSession {
  readonly #name: string;
  readonly #clock: DriverClock;
  readonly #open: OpenLinePort;
  readonly #mutex = new Mutex();
  #sent = 0;
  #port: LinePort | null = null;
  /** A serial port stays locked until it has been closed. */
  #gone: Promise<void> = Promise.resolve();
  /** Seconds from try to try of opening a port that has to come back first; null: one try. */
  retryEvery: number | null = null;
  /** Seconds from sending the last text to the last line that came after it. */
  exchange = 0;
  /** When that text was sent, s on the clock. */
  departed = 0;
  /** Bytes of a line that had not ended when the last conversation broke off. */
  unended = 0;

  constructor(name: string, clock: DriverClock, open: OpenLinePort) {
    this.#name = name;
    this.#clock = clock;
    this.#open = open;
  }

  /** Rejects with the signal's reason when it aborts, and with what `work` or the port rejects with. */
  use<T>(signal: AbortSignal, work: (lines: Lines) => Promise<T>): Promise<T> {
    return this.#mutex.run(signal, () => this.#turn(signal, work));
  }

  /** Closes the port; the next call opens it again. */
  drop(): void {
    const held = this.#port;
    this.#port = null;
    if (!held) return;
    this.unended = held.waiting;
    this.#gone = held.close();
  }

  /** To be called when all that uses it has been told to end. Never rejects. */
  close(): Promise<void> {
    this.drop();
    // Whoever opens the port next finds it locked as long as it is not given back, also by a call that is opening it.
    const free = this.#mutex.released.then(() => this.#gone);
    return settledOrTimeout(release, free, this.#clock);
  }

  async #turn<T>(signal: AbortSignal, work: (lines: Lines) => Promise<T>): Promise<T> {
    // A write to a port that has vanished never comes back by itself.
    const drop = (): void => this.drop();
    signal.addEventListener('abort', drop, { once: true });
    try {
      return await work(this.#linesOf(await this.#opened(signal), signal));
    } catch (error) {
      drop();
      throw error;
    } finally {
      signal.removeEventListener('abort', drop);
    }
  }

  #linesOf(port: LinePort, signal: AbortSignal): Lines {
    const next = async (patience: number): Promise<string | null> => {
      const line = await port.read(this.#clock.now() + patience, signal);
      if (line !== null) {
        this.departed = this.#sent;
        this.exchange = this.#clock.now() - this.#sent;
      }
      return line;
    };
    return {
      send: (text) => {
        port.discard();
        this.unended = 0;
        this.#sent = this.#clock.now();
        return port.write(Buffer.from(`${text}\n`), signal);
      },
      write: (bytes) => port.write(bytes, signal),
      answer: async () => {
        const line = await next(port.answerTime);
        if (line === null) throw noAnswer(this.#name, port.answerTime);
        return line;
      },
      next,
      settle: async () => {
        while ((await next(port.quietTime)) !== null);
      },
    };
  }

  async #opened(signal: AbortSignal): Promise<LinePort> {
    if (this.#port && !this.#port.gone) return this.#port;
    this.drop();
    await this.#gone;
    signal.throwIfAborted();
    const port = await this.#reach(signal);
    this.#port = port;
    if (signal.aborted) this.drop();
    signal.throwIfAborted();
    return port;
  }

  async #reach(signal: AbortSignal): Promise<LinePort> {
    for (;;) {
      try {
        const port = await this.#open(signal);
        this.retryEvery = null;
        return port;
      } catch (error) {
        if (this.retryEvery === null || signal.aborted) throw error;
        await this.#clock.waitUntil(this.#clock.now() + this.retryEvery, signal);
      }
    }
  }
}
