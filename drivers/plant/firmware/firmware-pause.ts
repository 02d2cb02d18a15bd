import { compileFunction } from 'node:vm';
import type { PortEntry } from './link-entry.ts';

/** The first start of the firmware, or an instant on the condition's time line, s. */
export type PauseAt = 'start' | number;

type Call = (...numbers: number[]) => unknown;

/** s by which rounding may put a call before the instant that it belongs to. */
const rounding = 1e-9;
/** What the debugger shows where it stops. */
const pauseScript = 'evenfall-pause.js';

/**
 * Stops whatever debugger is attached right before the first call of the firmware at or after an instant, once. The lamp's time stands
 * still meanwhile: it is virtual.
 */
export class FirmwarePause {
  readonly #at: PauseAt;
  readonly #now: () => number;
  /** When the condition began, s on the bench's clock; null before that. */
  #zero: number | null = null;
  #done = false;

  /** `now`: s on the bench's clock. */
  constructor(at: PauseAt, now: () => number) {
    this.#at = at;
    this.#now = now;
  }

  began(zero: number): void {
    this.#zero ??= zero;
  }

  /** Calls `entry`, from the place where the debugger stops if this is the call. */
  around(name: PortEntry, entry: Call, numbers: readonly number[]): unknown {
    if (!this.#isDue(name)) return entry(...numbers);
    this.#done = true;
    const at = this.#zero === null ? 'while the lamp starts' : this.#instant(this.#zero);
    const call = compileFunction(scriptOf(name, numbers, at), ['entry', 'numbers'], {
      filename: pauseScript,
    });
    return call(entry, numbers);
  }

  #isDue(name: PortEntry): boolean {
    if (this.#done) return false;
    if (this.#at === 'start') return name === 'lamp_init';
    // A main loop is entered again behind each interrupt.
    if (this.#zero === null || name === 'lamp_main') return false;
    return this.#now() - this.#zero >= this.#at - rounding;
  }

  #instant(zero: number): string {
    return `${(this.#now() - zero).toFixed(6)} s into the condition`;
  }
}

function scriptOf(name: string, numbers: readonly number[], at: string): string {
  return `// ${name}(${numbers.join(', ')}) is about to be called, ${at}.
// Step into, twice, and you are in your firmware; or set breakpoints in it and go on.
debugger;
return entry(...numbers);
`;
}
