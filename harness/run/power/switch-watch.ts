import { BenchError } from '../../bench/errors.ts';
import type { Call, Clock, LampLink, PowerSwitch, SwitchReading } from '../../bench/ports.ts';
import type { ConditionRecord } from '../../record/run-record.ts';

export interface SwitchParts {
  readonly relay: PowerSwitch;
  readonly clock: Clock;
  readonly call: Call;
  /** Links on which a lamp with power answers. */
  readonly links: readonly LampLink[];
  /** A lamp without power may live on for so long, s; null where its processor is fed by something else. */
  readonly livesOn: number | null;
}

export interface Span {
  readonly from: number;
  readonly to: number;
}

interface TimedSwitch extends SwitchReading {
  readonly at: number;
}

/** More than this through open contacts is no leakage of a filter, A and W (common practice, no source). */
export const leakage = { amps: 0.02, watts: 1 };
/** A lamp with power answers within this, s. */
const answerTime = 1;

/**
 * Reads a relay before a condition, after each turn and at the end, and asks a lamp that has been switched off for long enough
 * whether it is silent: contacts that have welded look like a lamp that will not go out.
 */
export class SwitchWatch {
  readonly #parts: SwitchParts;
  readonly #readings: TimedSwitch[] = [];
  #zero = 0;
  #on = true;
  #changedAt = Number.NEGATIVE_INFINITY;
  #looking: Promise<void> = Promise.resolve();
  readonly #off: Span[] = [];
  readonly #stop = new AbortController();

  constructor(parts: SwitchParts) {
    this.#parts = parts;
  }

  /** What the stimulus told it last. */
  get told(): boolean {
    return this.#on;
  }

  async before(): Promise<void> {
    await this.#read();
  }

  /** The condition begins, at this instant on the clock. */
  begin(zero: number): void {
    for (const [index, reading] of this.#readings.entries())
      this.#readings[index] = { ...reading, at: reading.at - zero };
    this.#zero = zero;
  }

  /** Carries out a turn by the stimulus. */
  async turn(on: boolean, work: () => Promise<void>): Promise<void> {
    await this.#looking;
    this.#on = on;
    const from = this.#now();
    await work();
    this.#changedAt = this.#now();
    if (on) this.#ends(from);
    else this.#off.push({ from: this.#changedAt, to: Number.POSITIVE_INFINITY });
  }

  /** Times in which the lamp was without power, as far as the switch was told, s. */
  get off(): readonly Span[] {
    return this.#off;
  }

  /** A look that is under way is given up. */
  stop(): void {
    this.#stop.abort('ended');
  }

  #ends(to: number): void {
    const last = this.#off.at(-1);
    if (last?.to === Number.POSITIVE_INFINITY) this.#off[this.#off.length - 1] = { ...last, to };
  }

  /** Begins to look whether the lamp is really without power, where there is time for it in the next `seconds`. */
  look(seconds: number): void {
    const { livesOn, clock, call } = this.#parts;
    if (this.#on || livesOn === null) return;
    const due = Math.max(this.#now(), this.#changedAt + livesOn);
    if (due + answerTime + margin > this.#now() + seconds) return;
    const signal = AbortSignal.any([call.signal, this.#stop.signal]);
    this.#looking = clock.waitUntil(due + this.#zero, signal).then(() => this.#mustBeOff());
    // Whoever waits for it hears of it.
    this.#looking.catch(() => {});
  }

  /** The reading after. Throws BenchError `refused` where the switch is not what it was told to be. */
  async end(): Promise<void> {
    await this.#looking;
    await this.#read();
  }

  get record(): NonNullable<ConditionRecord['switch']> {
    return {
      instrument: this.#parts.relay.name,
      readings: this.#readings.map(({ at, on, amps, watts }) => ({
        ...{ at, on },
        ...(amps !== undefined && { amps }),
        ...(watts !== undefined && { watts }),
      })),
    };
  }

  async #mustBeOff(): Promise<void> {
    await this.#read();
    const { links, call, relay, livesOn } = this.#parts;
    const answer = await firstAnswer(links, { ...call, deadline: answerTime });
    if (answer === null) return;
    throw switchError(
      relay.name,
      `it was switched off ${livesOn} s before, but the lamp answers on ${answer}`,
    );
  }

  async #read(): Promise<void> {
    const { relay, call } = this.#parts;
    const reading = await relay.read(call);
    this.#readings.push({ ...reading, at: this.#now() });
    const { on, amps = 0, watts = 0 } = reading;
    const name = relay.name;
    if (on !== this.#on)
      throw switchError(name, `it was switched ${word(this.#on)}, but says that it is ${word(on)}`);
    if (on || this.#now() < this.#changedAt + (this.#parts.livesOn ?? 0)) return;
    if (amps > leakage.amps || watts > leakage.watts)
      throw switchError(
        name,
        `it was switched off, but measures ${amps > leakage.amps ? `${amps} A` : `${watts} W`} through itself`,
      );
  }

  #now(): number {
    return this.#parts.clock.now() - this.#zero;
  }
}

/** Nothing of the stimulus waits for an answer that is not to come, s. */
const margin = 0.2;

function word(on: boolean): string {
  return on ? 'on' : 'off';
}

/** Name of the first link on which a lamp answers; null where all stay silent. */
export async function firstAnswer(links: readonly LampLink[], call: Call): Promise<string | null> {
  const asked = links.flatMap((link) =>
    link.whoIsLamp ? [{ name: link.name, under: link.whoIsLamp(call) }] : [],
  );
  const answers = await Promise.all(
    asked.map(async ({ name, under }) => {
      try {
        await under;
        return name;
      } catch (error) {
        if (!(error instanceof BenchError) || error.kind === 'cancelled') throw error;
        // Two lamps that answer at once are an answer, too.
        return error.kind === 'collision' ? name : null;
      }
    }),
  );
  return answers.find((name) => name !== null) ?? null;
}

/** The switch did not do what it was told to. */
export function switchError(name: string, clause: string): BenchError {
  return new BenchError(
    'refused',
    name,
    `${clause}: its contacts have welded, it is bridged, or something else feeds the lamp. What the lamp does then says nothing about the firmware: look at the relay and its wires`,
  );
}
