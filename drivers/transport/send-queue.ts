import type { Departure } from '../../harness/bench/ports.ts';
import type { DriverClock } from '../driver-clock.ts';
import { settledOrTimeout } from './with-deadline.ts';

/** Seconds that a system may take to give a port back. */
const release = 1;
/** Things that may wait before a stream leaves one out. */
const mostWaiting = 2;

/** Sends one thing after another over a port that is opened when it is first needed, and again after it broke. */
export class SendQueue<Port extends { close(): Promise<void> | void }> {
  readonly #open: (signal: AbortSignal) => Promise<Port>;
  readonly #clock: DriverClock;
  #port: Promise<Port> | null = null;
  #last: Promise<Departure> = Promise.resolve({ began: 0, lasted: 0 });
  #waiting = 0;
  broken = false;

  constructor(open: (signal: AbortSignal) => Promise<Port>, clock: DriverClock) {
    this.#open = open;
    this.#clock = clock;
  }

  get congested(): boolean {
    return this.#waiting >= mostWaiting;
  }

  /** Opens the port, unless it is open. */
  async ready(signal: AbortSignal): Promise<void> {
    this.#port ??= this.#open(signal).catch((error: unknown) => {
      this.#port = null;
      throw error;
    });
    await this.#port;
  }

  /** `send` resolves when its share has left; then `left` is told. */
  put(send: (port: Port) => Promise<void>, left?: (departure: Departure) => void): void {
    this.#waiting++;
    this.#last = this.#last
      .then(
        () => {},
        () => {},
      )
      .then(async () => {
        const departure = await this.#send(send);
        left?.(departure);
        return departure;
      })
      .finally(() => this.#waiting--);
    // Whoever wants to know asks `sent`.
    this.#last.catch(() => {});
  }

  async free(): Promise<void> {
    await this.#last.catch(() => {});
  }

  /** Resolves with when the last thing left. */
  sent(): Promise<Departure> {
    return this.#last;
  }

  /** Closes the port at once: what hangs in it would never be over. */
  async close(): Promise<void> {
    const held = this.#port;
    this.#port = null;
    if (!held) return;
    await settledOrTimeout(
      release,
      held.then((port) => port.close()),
      this.#clock,
    );
  }

  async #send(send: (port: Port) => Promise<void>): Promise<Departure> {
    const held = this.#port;
    if (!held) throw new Error('the port is closed');
    try {
      const port = await held;
      const began = this.#clock.now();
      await send(port);
      this.broken = false;
      return { began, lasted: this.#clock.now() - began };
    } catch (error) {
      this.broken = true;
      this.#port = null;
      void held.then((port) => port.close()).catch(() => {});
      throw error;
    }
  }
}
