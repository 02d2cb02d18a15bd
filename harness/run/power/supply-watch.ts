import { BenchError } from '../../bench/errors.ts';
import type { Call, Clock, Supply } from '../../bench/ports.ts';
import type { ConditionRecord } from '../../record/run-record.ts';
import { type PowerState, PowerStory } from './power-story.ts';
import { supplyDoubt, type TimedReading } from './supply-doubt.ts';

/** s from the end of a reading to the next one; a supply that answers slowly is left alone as long as it took. */
const pace = 0.25;
/** No reading begins where a change of the stimulus is due within this and the longest reading so far, s. */
const berth = 0.05;

/** What a watch needs of its bench. */
export interface WatchParts {
  readonly supply: Supply;
  readonly clock: Clock;
  /** V */
  readonly nominal: number;
  /** A for which its limit was set. */
  readonly limitAmps: number;
  /** Instants of the condition at which the stimulus is to change the supply, s, in order. */
  readonly changes: readonly number[];
  /** One call on the supply. */
  readonly call: Call;
}

/**
 * Reads the supply before, during and after a condition, on its own connection, and holds it against what it was told:
 * what the light does under another voltage says nothing about the lamp.
 */
export class SupplyWatch {
  readonly readings: TimedReading[] = [];
  readonly #parts: WatchParts;
  readonly #story: PowerStory;
  readonly #stop = new AbortController();
  #polling: Promise<void> = Promise.resolve();
  /** Instant on the clock at which the condition begins. */
  #zero = 0;
  #longest = 0;
  #readable = true;
  #ended = false;

  constructor(parts: WatchParts) {
    this.#parts = parts;
    this.#story = new PowerStory({ volts: parts.nominal, on: true });
  }

  /** The reading before; what the surge of switching on has latched is forgotten first. */
  async before(): Promise<void> {
    const { supply, call } = this.#parts;
    try {
      await supply.clear?.(call);
      await this.#read();
    } catch (error) {
      if (!(error instanceof BenchError && error.kind === 'unsupported')) throw error;
      this.#readable = false;
    }
  }

  /** The condition begins, at this instant on the clock. */
  begin(zero: number): void {
    this.#zero = zero;
    const before = this.readings.splice(0);
    for (const reading of before)
      this.readings.push({ ...reading, from: reading.from - zero, at: reading.at - zero });
    if (this.#readable) this.#polling = this.#poll();
  }

  /** What the stimulus told it last. */
  get told(): PowerState {
    return this.#story.present;
  }

  /** Carries out a change by the stimulus, which readings are held against from then on. */
  change<T>(part: Partial<PowerState>, work: () => Promise<T>): Promise<T> {
    return this.#story.change(part, () => this.#now(), work);
  }

  /** No more readings are begun. */
  stop(): void {
    this.#stop.abort('ended');
  }

  /** The reading after. Throws BenchError `supply-fault` where the supply did not deliver, or what the reading throws. */
  async end(): Promise<void> {
    this.stop();
    await this.#polling;
    if (!this.#readable || this.#ended) return;
    this.#ended = true;
    // One that failed has closed its connection, and nothing is lost with it: protections stay latched.
    await this.#read().catch(() => this.#read());
    this.#check();
  }

  #check(): void {
    const doubt = supplyDoubt(this.readings, this.#story);
    if (doubt === null) return;
    const { supply, limitAmps } = this.#parts;
    throw new BenchError(
      'supply-fault',
      supply.name,
      `${doubt} (its limit is ${limitAmps} A). The light says nothing about the firmware then: check the supply, its limit and its wires. A lamp with a fault that draws too much brings a supply down as well`,
    );
  }

  /** For the record: on a long condition not every reading. */
  get record(): NonNullable<ConditionRecord['supply']> {
    const kept = thinned(this.readings);
    return {
      instrument: this.#parts.supply.name,
      taken: this.readings.length,
      readings: kept.map(({ at, volts, amps, on, mode, protections }) => ({
        ...{ at, volts, amps, on },
        ...(mode && { mode }),
        ...(protections && { protections: [...protections] }),
      })),
    };
  }

  async #poll(): Promise<void> {
    const { clock } = this.#parts;
    const { signal } = this.#stop;
    for (;;) {
      const pause = Math.max(pace, this.#longest);
      const rested = await clock.waitUntil(this.#after(clock.now() + pause), signal).then(
        () => true,
        () => false,
      );
      if (!rested || signal.aborted) return;
      // One that does not come is missed by the last one, which has to.
      await this.#read().catch(() => {});
    }
  }

  /** The wanted instant on the clock, or after the changes that a reading could get in the way of. */
  #after(wanted: number): number {
    const { changes } = this.#parts;
    let at = wanted - this.#zero;
    for (const change of changes)
      if (change > at - berth && change < at + berth + this.#longest) at = change + berth;
    return at + this.#zero;
  }

  #now(): number {
    return this.#parts.clock.now() - this.#zero;
  }

  async #read(): Promise<void> {
    const { supply, call } = this.#parts;
    const from = this.#now();
    const reading = await supply.read(call);
    const at = this.#now();
    this.#longest = Math.max(this.#longest, at - from);
    const since = this.readings.at(-1)?.at ?? from;
    this.readings.push({ ...reading, from, at });
    // What a change of the stimulus has latched must not be read again as something new.
    if (reading.protections?.length && this.#story.changedWithin(since, at))
      await supply.clear?.(call);
  }
}

/** Readings that a record holds. */
const most = 400;

/** Every reading that differs in kind, and of the rest so many, evenly. */
function thinned(readings: readonly TimedReading[]): readonly TimedReading[] {
  const step = Math.max(1, Math.ceil(readings.length / most));
  return readings.filter(
    (reading, index) =>
      index % step === 0 || index === readings.length - 1 || stands(reading, readings[index - 1]),
  );
}

function stands(reading: TimedReading, before: TimedReading | undefined): boolean {
  return (
    (reading.protections?.length ?? 0) > 0 ||
    reading.on !== before?.on ||
    reading.mode !== before?.mode
  );
}
