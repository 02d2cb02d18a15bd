import type { LinePort } from '../../transport/line-port.ts';
import type { LampSide } from '../lamp-side.ts';
import type { DaliBridge } from './dali-bridge.ts';

/** A computer's port on a DALI bridge; the cable between them takes no time. */
export class BridgePort implements LinePort {
  /** A bridge answers every line when the bus has carried it. */
  readonly answerTime = 1;
  readonly quietTime = 0;
  readonly gone = false;
  readonly waiting = 0;
  readonly #bridge: DaliBridge;
  readonly #side: LampSide;
  readonly #closing = new AbortController();
  #replies: Promise<string>[] = [];

  constructor(bridge: DaliBridge, side: LampSide) {
    this.#bridge = bridge;
    this.#side = side;
  }

  write(bytes: Uint8Array): Promise<void> {
    const reply = this.#bridge.take(
      Buffer.from(bytes).toString('latin1').trim(),
      this.#closing.signal,
    );
    // Whoever wants to know reads it.
    reply.catch(() => {});
    this.#replies.push(reply);
    return Promise.resolve();
  }

  async read(until: number, signal: AbortSignal): Promise<string | null> {
    const reply = this.#replies.shift();
    if (reply !== undefined) return reply;
    await this.#side.clock.waitUntil(until, signal);
    return null;
  }

  discard(): void {
    this.#replies = [];
  }

  close(): Promise<void> {
    this.#closing.abort('closed');
    return Promise.resolve();
  }
}
