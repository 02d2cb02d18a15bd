import { now, type StimulusContext, until } from './stimulus.ts';

/** A command that came this much later than planned moves everything after it, s: no hold is cut short. */
const tolerated = 0.1;

/** How much later than planned a bench gets to the instants of a stimulus. On a virtual clock that is never. */
export class Delay {
  readonly #context: StimulusContext;
  #late = 0;
  /** How late the last window began: on a bench it is as long as planned all the same. */
  #windowLate = 0;
  /** Delay from planned instants on, in their order. */
  readonly #shifts: { readonly from: number; readonly late: number }[] = [];

  constructor(context: StimulusContext) {
    this.#context = context;
  }

  /** Waits for a planned instant, put off by the delay so far; all times in s from the start of the condition. */
  async reach(planned: number): Promise<void> {
    const behind = now(this.#context) - (planned + this.#late);
    if (behind > tolerated) {
      this.#late += behind;
      this.#shifts.push({ from: planned, late: this.#late });
    }
    await until(this.#context, planned + this.#late);
  }

  /** A mark that was planned for this instant opens its window now. */
  openWindow(planned: number): void {
    this.#windowLate = now(this.#context) - (planned + this.#late);
  }

  /** Waits for the planned end, and until the last window is as long as planned. */
  async end(planned: number): Promise<void> {
    await this.reach(planned);
    if (this.#context.bench.clock.kind !== 'real') return;
    const late = this.#late + this.#windowLate;
    await until(this.#context, planned + late);
    if (this.#windowLate > tolerated) this.#shifts.push({ from: planned, late });
  }

  /** How late a planned instant was. */
  at(planned: number): number {
    return this.#shifts.findLast(({ from }) => from <= planned)?.late ?? 0;
  }
}
