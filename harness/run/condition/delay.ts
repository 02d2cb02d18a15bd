import { now, type StimulusContext, until } from './stimulus.ts';

/** A command that came this much later than planned moves everything after it, s: no hold is cut short. */
const tolerated = 0.1;
/** From look to look at a command that is not confirmed in time, s. */
const look = 0.01;

/** How much later than planned a bench gets to the instants of a stimulus: where the lamp or a link takes its time to confirm. */
export class Delay {
  readonly #context: StimulusContext;
  #late = 0;
  /** When what comes next was planned. */
  #next = Number.POSITIVE_INFINITY;
  /** When the last window was to begin. */
  #window = 0;
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

  /** What is done now is to be over at that planned instant. */
  next(planned: number): void {
    this.#next = planned;
  }

  /** Seconds from now until a planned instant will have come; a step at a time as long as a command is overdue, and nobody knows. */
  leftUntil(planned: number): number {
    const at = now(this.#context);
    const late = planned + this.#late - at;
    return this.#next <= planned && at > this.#next + this.#late ? Math.max(look, late) : late;
  }

  /** What was planned for this instant was over at `ended`, s: what follows comes as long after that as planned. */
  follow(planned: number, ended: number): void {
    const behind = ended - (planned + this.#late);
    if (behind <= 0) return;
    this.#late += behind;
    this.#shifts.push({ from: planned, late: this.#late });
  }

  /** A mark that was planned for this instant opens its window. */
  openWindow(planned: number): void {
    this.#window = planned;
  }

  /** Waits for the planned end, and until the last window is as long as planned, however late it began; says when that was, s. */
  async end(planned: number): Promise<number> {
    await this.reach(planned);
    const { bench, light } = this.#context;
    if (bench.clock.kind !== 'real') return Math.max(planned, now(this.#context));
    const opened = light.openedAt ?? this.#window + this.#late;
    const windowLate = opened - (this.#window + this.#late);
    const late = this.#late + Math.max(0, windowLate);
    await until(this.#context, planned + late);
    if (windowLate > tolerated) this.#shifts.push({ from: planned, late });
    return planned + late;
  }

  /** How late a planned instant was. */
  at(planned: number): number {
    return this.#shifts.findLast(({ from }) => from <= planned)?.late ?? 0;
  }
}
