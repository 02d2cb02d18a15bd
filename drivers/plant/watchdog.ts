/** A hardware watchdog: it restarts the processor that has kicked it once and then not again for `timeout` s. */
export class Watchdog {
  private readonly timeout: number;
  private readonly clock: { now(): number; schedule(at: number, act: () => void): void };
  private readonly bites: () => void;
  private kickedAt: number | null = null;
  /** An instant is scheduled at which it looks. */
  private looks = false;

  /** `timeout` null: there is none. `bites` is called when the processor has to restart. */
  constructor(
    timeout: number | null,
    clock: { now(): number; schedule(at: number, act: () => void): void },
    bites: () => void,
  ) {
    this.timeout = timeout ?? Number.POSITIVE_INFINITY;
    this.clock = clock;
    this.bites = bites;
  }

  /** It runs: the processor must not sleep for long. */
  get runs(): boolean {
    return this.kickedAt !== null;
  }

  kick(): void {
    if (this.timeout === Number.POSITIVE_INFINITY) return;
    this.kickedAt = this.clock.now();
    if (this.looks) return;
    this.looks = true;
    this.clock.schedule(this.kickedAt + this.timeout, () => this.look());
  }

  /** Until the next kick: the processor restarts, or has no power. */
  stop(): void {
    this.kickedAt = null;
  }

  private look(): void {
    this.looks = false;
    if (this.kickedAt === null) return;
    const due = this.kickedAt + this.timeout;
    if (this.clock.now() >= due) {
      this.bites();
      return;
    }
    this.looks = true;
    this.clock.schedule(due, () => this.look());
  }
}
