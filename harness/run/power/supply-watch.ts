import { BenchError } from '../../bench/errors.ts';
import type { Call, Clock, PieceKeeper, Supply } from '../../bench/ports.ts';
import type { ConditionRecord } from '../../record/run-record.ts';
import type { PassRecords } from '../records/pass-records.ts';
import type { RawRecord } from '../records/raw-record.ts';
import { notCarriedOut } from './carried-out.ts';
import { type PowerState, PowerStory } from './power-story.ts';
import { inputError, voltageInputDoubt } from './readings-agree.ts';
import { recordedDoubt } from './recorded-voltage.ts';
import { meterLag } from './still-delivers.ts';
import { supplyDoubt, type TimedReading } from './supply-doubt.ts';
import type { Span } from './switch-watch.ts';

/** s from the end of a reading to the next one; a supply that answers slowly is left alone as long as it took. */
const pace = 0.25;
/** No reading begins where a change of the stimulus is due within this and the longest reading so far, s. */
const berth = 0.05;
/** The last reading before a change may take so much longer than the longest so far, s. */
const slack = 0.02;

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
  /** Keeps what a long condition brings before it ends. */
  readonly pieces?: PieceKeeper | undefined;
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
  #begun = false;

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
    this.#begun = true;
    const { pieces, supply } = this.#parts;
    for (const reading of before) {
      const at = reading.at - zero;
      this.readings.push({ ...reading, from: reading.from - zero, at });
      pieces?.bench({ instrument: supply.name, ...reading, at });
    }
    if (this.#readable) this.#polling = this.#poll();
  }

  /** What the stimulus told it last. */
  get told(): PowerState {
    return this.#story.present;
  }

  /** Times in which the stimulus had it off, s. */
  get off(): readonly Span[] {
    return this.#story.off;
  }

  /** Before the output is switched on again: a reading of the time in which it was off, where there is none yet. */
  async lookOnceMore(): Promise<void> {
    const last = this.off.at(-1);
    if (!this.#readable || this.#story.present.on || !last) return;
    const telling = last.from + meterLag;
    if (this.#now() < telling || this.readings.some(({ from }) => from >= telling)) return;
    // One that does not come is missed by the last one, which has to.
    await this.#read().catch(() => {});
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
    await this.#untilRisen();
    // One that failed has closed its connection, and nothing is lost with it: protections stay latched.
    await this.#read().catch(() => this.#read());
    this.#check();
  }

  /** A voltage that rises too slowly shows in no reading of a condition that ends meanwhile. */
  async #untilRisen(): Promise<void> {
    const { clock, call } = this.#parts;
    const { risen } = this.#story;
    if (this.#now() <= risen) await clock.waitUntil(risen + this.#zero + slack, call.signal);
  }

  #check(): void {
    this.#mustNotDoubt(supplyDoubt(this.readings, this.#story));
  }

  /**
   * What else was recorded, once all of it is in. Throws BenchError `supply-fault` where the voltage at the lamp was another one, or where
   * nothing shows that the supply did what it confirmed; `garbled` where an input of the voltage contradicts a supply that is sound.
   */
  hold({ waveforms, alongside }: Pick<PassRecords, 'waveforms' | 'alongside'>): void {
    const own = (signal: string) => (record: RawRecord) => record.capture.signal === signal;
    const voltages = [...waveforms, ...alongside].filter(own('supply-voltage'));
    for (const record of voltages) {
      const doubt = recordedDoubt(record.raw, this.#story);
      const input =
        doubt === null || !this.#readable ? null : voltageInputDoubt(record, this.#story);
      if (input !== null) throw inputError(record, input);
      this.#mustNotDoubt(doubt);
    }
    const lamp = waveforms.filter((one) => own('light')(one) || own('channel-current')(one));
    this.#mustNotDoubt(notCarriedOut(this.#story, { voltages, readings: this.readings, lamp }));
  }

  /** What it was told, and when. */
  get story(): PowerStory {
    return this.#story;
  }

  #mustNotDoubt(doubt: string | null): void {
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
      const rested = await clock.waitUntil(this.#due(clock.now() + pause), signal).then(
        () => true,
        () => false,
      );
      if (!rested || signal.aborted) return;
      // One that does not come is missed by the last one, which has to.
      await this.#read().catch(() => {});
    }
  }

  /**
   * The wanted instant on the clock; of an output that is off just before the next change, so that its absence is seen as
   * late as can be; or after the changes that a reading could get in the way of.
   */
  #due(wanted: number): number {
    const { changes } = this.#parts;
    let at = wanted - this.#zero;
    const next = changes.find((change) => change > this.#now()) ?? Number.POSITIVE_INFINITY;
    const last = next - berth - this.#longest - slack;
    const off = !this.#story.present.on;
    if (off && at > last && last > this.#now() + Math.max(berth, this.#longest)) at = last;
    for (const change of changes)
      if (change > at - berth && change < at + berth + this.#longest) at = change + berth;
    return at + this.#zero;
  }

  #now(): number {
    return this.#parts.clock.now() - this.#zero;
  }

  async #read(): Promise<void> {
    const { supply, call, pieces } = this.#parts;
    const from = this.#now();
    const reading = await supply.read(call);
    const at = this.#now();
    this.#longest = Math.max(this.#longest, at - from);
    const since = this.readings.at(-1)?.at ?? from;
    this.readings.push({ ...reading, from, at });
    if (this.#begun) pieces?.bench({ instrument: supply.name, ...reading, at });
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
