import type { Call } from '../../harness/bench/ports.ts';
import { sleep } from '../real-clock.ts';
import type { BytePort } from './byte-port.ts';
import { ByteReader, lineEnd } from './byte-reader.ts';
import { Mutex } from './mutex.ts';
import { settledOrTimeout, withDeadline } from './with-deadline.ts';

/** Seconds without a byte after which nothing more is on its way. */
const quiet = 0.03;
/** Seconds that a system may take to give a port back. */
const release = 1;

/** The lines of one turn. */
export interface Lines {
  /** Throws away what has arrived, then sends the text and a line feed. */
  send(text: string): Promise<void>;
  /** Sends bytes as they are. */
  write(bytes: Uint8Array): Promise<void>;
  /** The next line without its end, or null after so many seconds without one. */
  next(patience?: number): Promise<string | null>;
}

/**
 * A conversation in lines. The port is opened by the first call; after a call that failed or was given up it is closed,
 * and the next one opens it again and waits until the line is quiet: a late line must not pass for an answer.
 */
export class LineTalk {
  readonly #name: string;
  readonly #connect: (signal: AbortSignal) => Promise<BytePort>;
  readonly #longest: number;
  readonly #mutex = new Mutex();
  readonly #closing = new AbortController();
  #sent = 0;
  #connection: { readonly port: BytePort; readonly reader: ByteReader } | null = null;
  /** A serial port stays locked until it has been closed. */
  #gone: Promise<void> = Promise.resolve();
  /** Seconds from try to try of opening a port that has to come back first; null: one try. */
  retryEvery: number | null = null;
  /** Seconds from sending the last text to the last line that came after it. */
  exchange = 0;

  constructor(name: string, longest: number, connect: (signal: AbortSignal) => Promise<BytePort>) {
    this.#name = name;
    this.#longest = longest;
    this.#connect = connect;
  }

  use<T>(call: Call, work: (lines: Lines) => Promise<T>): Promise<T> {
    return withDeadline(this.#name, call, this.#closing.signal, (signal) =>
      this.#mutex.run(signal, () => this.#turn(signal, work)),
    );
  }

  /** Closes the port; the next call opens it again. */
  drop(): void {
    const held = this.#connection;
    this.#connection = null;
    if (held) this.#gone = held.port.close();
  }

  close(): Promise<void> {
    this.#closing.abort();
    this.drop();
    // Whoever opens the port next finds it locked as long as it is not given back, also by a call that is opening it.
    const free = this.#mutex.released.then(() => this.#gone);
    return settledOrTimeout(release, free);
  }

  async #turn<T>(signal: AbortSignal, work: (lines: Lines) => Promise<T>): Promise<T> {
    // A write to a port that has vanished never comes back by itself.
    const drop = (): void => this.drop();
    signal.addEventListener('abort', drop, { once: true });
    try {
      const { port, reader } = await this.#connected(signal);
      return await work({
        send: async (text) => {
          reader.discard();
          this.#sent = performance.now();
          await port.write(Buffer.from(`${text}\n`));
        },
        write: (bytes) => port.write(bytes),
        next: (patience) => this.#next(reader, signal, patience),
      });
    } catch (error) {
      drop();
      throw error;
    } finally {
      signal.removeEventListener('abort', drop);
    }
  }

  async #connected(signal: AbortSignal) {
    const held = this.#connection;
    if (held && !held.reader.gone) return held;
    this.drop();
    await this.#gone;
    signal.throwIfAborted();
    const port = await this.#reach(signal);
    const connection = { port, reader: new ByteReader(port) };
    this.#connection = connection;
    if (signal.aborted) this.drop();
    do {
      connection.reader.discard();
      await sleep(quiet, signal);
      signal.throwIfAborted();
    } while (connection.reader.waiting > 0);
    return connection;
  }

  async #reach(signal: AbortSignal): Promise<BytePort> {
    for (;;) {
      try {
        const port = await this.#connect(signal);
        this.retryEvery = null;
        return port;
      } catch (error) {
        if (this.retryEvery === null) throw error;
        await sleep(this.retryEvery, signal);
        signal.throwIfAborted();
      }
    }
  }

  async #next(reader: ByteReader, signal: AbortSignal, patience?: number): Promise<string | null> {
    const enough = patience === undefined ? null : AbortSignal.timeout(patience * 1000);
    const either = enough ? AbortSignal.any([signal, enough]) : signal;
    try {
      const line = await reader.take(lineEnd(this.#longest), either);
      this.exchange = (performance.now() - this.#sent) / 1000;
      return line.toString('utf8').replace(/\r*\n$/, '');
    } catch (error) {
      if (enough?.aborted && !signal.aborted && !reader.gone) return null;
      throw error;
    }
  }
}
