import type { SupplyProfile } from './profile-schema.ts';
import type { ScpiSession } from './session.ts';

/** Signs of life in the time of the watchdog: one or two may be late or lost. */
const feedsInTime = 4;

/**
 * Feeds the watchdog of a supply from the thread that runs the conditions, so that a run that is stopped, hung or gone lets it
 * act. A feed that fails is left alone: either the next one works, or the supply switches off, which is what it is for.
 */
export class FedWatchdog {
  readonly #session: ScpiSession;
  readonly #watchdog: NonNullable<SupplyProfile['watchdog']>;
  #timer: NodeJS.Timeout | null = null;

  constructor(session: ScpiSession, watchdog: NonNullable<SupplyProfile['watchdog']>) {
    this.#session = session;
    this.#watchdog = watchdog;
  }

  start(): void {
    this.stop();
    const every = this.#watchdog.time / feedsInTime;
    this.#timer = setInterval(() => void this.#feed(every), every * 1000).unref();
  }

  stop(): void {
    if (this.#timer) clearInterval(this.#timer);
    this.#timer = null;
  }

  async #feed(deadline: number): Promise<void> {
    const call = { deadline, signal: this.#session.closing };
    await this.#session.use(call, ({ setUp }) => setUp([this.#watchdog.feed])).catch(() => {});
  }
}
