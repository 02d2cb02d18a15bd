import type { Clock } from '../../bench/ports.ts';

/** s from look to look. */
const pace = 0.05;
/** Looks that are kept: a minute and more. */
const kept = 2000;
/** This computer was too busy to blame a lamp for silence where it was late by so much at once, s, or by so much of the time. */
const atOnce = 0.5;
const share = 0.25;

/**
 * How late this computer itself gets to what is due: an answer that came in time, and was read too late, is not the lamp's silence. Looks
 * from `watch` on until the signal aborts.
 */
export class OwnLateness {
  readonly #clock: Clock;
  readonly #looks: { readonly at: number; readonly late: number }[] = [];

  constructor(clock: Clock) {
    this.#clock = clock;
  }

  async watch(signal: AbortSignal): Promise<void> {
    while (!signal.aborted) {
      const due = this.#clock.now() + pace;
      const rested = await this.#clock.waitUntil(due, signal).then(
        () => true,
        () => false,
      );
      if (!rested) return;
      const at = this.#clock.now();
      this.#looks.push({ at, late: Math.max(0, at - due) });
      if (this.#looks.length > kept) this.#looks.shift();
    }
  }

  /** In a clause, where it was too late in the last `seconds` for a silence to be believed; null where it was not. */
  doubt(seconds: number): string | null {
    const from = this.#clock.now() - seconds;
    const lates = this.#looks.filter(({ at }) => at >= from).map(({ late }) => late);
    const most = Math.max(0, ...lates);
    const all = lates.reduce((sum, late) => sum + late, 0);
    if (most < atOnce && all < share * seconds) return null;
    return `this computer itself was up to ${most.toFixed(2)} s late meanwhile, ${all.toFixed(2)} s in all`;
  }
}
