import type { Action } from '../../plan/schedule.ts';
import type { StimulusContext } from './stimulus.ts';

/**
 * A window that opens with a command, as planned at one instant, opens when the command takes effect: on a real bench the
 * light before it still shines between the two, and is none of the window's.
 */
export class OpeningWindows {
  readonly #context: StimulusContext;
  /** Marks of the planned instant `#planned` that no command has followed yet. */
  #marks = 0;
  #planned = Number.NaN;
  #changed: number | null = null;

  constructor(context: StimulusContext) {
    this.#context = context;
  }

  /** An action has just been carried out. */
  performed({ at, step }: Action): void {
    const { light } = this.#context;
    if (at !== this.#planned) this.#marks = 0;
    this.#planned = at;
    const { changedAt } = light;
    const changed = changedAt !== this.#changed;
    this.#changed = changedAt;
    if (step.verb === 'mark') this.#marks++;
    else if (changed && changedAt !== null) {
      // A storm of commands changes it again and again, and its window holds the first of them.
      if (step.verb === 'set' || step.verb === 'fade') light.openLater(this.#marks, changedAt);
      this.#marks = 0;
    }
  }
}
