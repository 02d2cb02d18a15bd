import { BenchError } from '../../bench/errors.ts';
import type { Call, Clock, PieceKeeper } from '../../bench/ports.ts';
import type { ConditionRecord } from '../../record/run-record.ts';
import { airError, chamberDoubt } from './air-doubt.ts';
import { airWords, readAir } from './read-air.ts';
import { forgetSoak, type Soaked } from './soak.ts';
import type { WantedAir } from './wanted-air.ts';

/** s from reading to reading: air is slow, and a chamber answers slowly. */
const pace = 1;
/** Readings that a record holds. */
const most = 400;

export interface AirReading {
  readonly at: number;
  readonly celsius: number;
  /** By the probe beside the lamp. */
  readonly probe?: number;
}

export interface AirParts {
  readonly wanted: WantedAir;
  readonly soaked: Soaked;
  readonly clock: Clock;
  readonly call: Call;
  /** Keeps what a long condition brings before it ends. */
  readonly pieces?: PieceKeeper | undefined;
  /** Nobody can tell the lamp's heat from the air's where the rig cannot take its power away. */
  readonly lampWasOff: boolean;
}

/**
 * Reads the air about the lamp before, during and after a condition and holds it against what it was to be. What the lamp says
 * of itself is a second witness: a chamber with an open door may read its set point.
 */
export class AirWatch {
  readonly #parts: AirParts;
  readonly #readings: AirReading[] = [];
  readonly #lamp: AirReading[] = [];
  readonly #stop = new AbortController();
  #polling: Promise<void> = Promise.resolve();
  #zero = 0;
  #doubt: string | null = null;
  #begun = false;
  /** What it is to have now, °C. */
  #celsius: number;
  /** On its way to there. */
  #moving = false;
  #moved = false;

  constructor(parts: AirParts) {
    this.#parts = parts;
    this.#celsius = parts.wanted.celsius;
  }

  /** A stimulus takes the air to another temperature: on its way it is held against nothing. */
  depart(): void {
    this.#moving = true;
    this.#moved = true;
  }

  /** Now it is to have this temperature, after `over` s. Throws BenchError `late` where it has another one. */
  async arrive(celsius: number, over: number): Promise<void> {
    this.#celsius = celsius;
    const { call } = this.#parts;
    const { chamber, within } = this.#wanted;
    const reading = await readAir(this.#wanted, call);
    if (!reading.there)
      throw new BenchError(
        'late',
        chamber.name,
        `its air was to have ${celsius} °C ± ${within} K after ${over} s; it has ${airWords(reading)}. Give it more time in the spec ("over"), or a chamber that is faster`,
      );
    this.#moving = false;
  }

  /** Before the lamp is told anything: the air, and the lamp that was soaked in it. */
  async before(lamp: number | null): Promise<void> {
    await this.#read();
    const { soaked, lampWasOff } = this.#parts;
    if (lamp !== null) this.#hold(lamp, soaked.fresh && lampWasOff);
    this.#mustBeSound();
  }

  /** The condition begins, at this instant on the clock. */
  begin(zero: number): void {
    for (const list of [this.#readings, this.#lamp])
      for (const [index, reading] of list.entries())
        list[index] = { ...reading, at: reading.at - zero };
    this.#zero = zero;
    this.#begun = true;
    const { pieces, wanted } = this.#parts;
    for (const reading of this.#readings)
      pieces?.bench({ instrument: wanted.chamber.name, ...reading });
    if (this.#parts.clock.kind === 'real') this.#polling = this.#poll();
  }

  /** No more readings are begun. */
  stop(): void {
    this.#stop.abort('ended');
  }

  /** The reading after; `lamp` is what the lamp says then. Throws BenchError `refused` where the air was something else. */
  async end(lamp: number | null): Promise<void> {
    this.stop();
    await this.#polling;
    await this.#read().catch(() => this.#read());
    // A lamp follows air that was moved by and by.
    if (lamp !== null && !this.#moved) this.#hold(lamp, false);
    this.#mustBeSound();
  }

  get #wanted(): WantedAir {
    return { ...this.#parts.wanted, celsius: this.#celsius };
  }

  get record(): NonNullable<ConditionRecord['ambient']> {
    const { wanted, soaked } = this.#parts;
    const step = Math.max(1, Math.ceil(this.#readings.length / most));
    return {
      instrument: wanted.chamber.name,
      wanted: wanted.celsius,
      within: wanted.within,
      soaked: soaked.soaked,
      readings: this.#readings.filter((_, index) => index % step === 0),
      taken: this.#readings.length,
      ...(this.#lamp.length > 0 && { lamp: [...this.#lamp] }),
    };
  }

  /** A lamp that is lit is warmer than its air, never colder. */
  #hold(celsius: number, cold: boolean): void {
    const { wanted, soaked } = this.#parts;
    this.#lamp.push({ at: this.#now(), celsius });
    const above = celsius - wanted.celsius;
    const { lampWithin } = wanted;
    if (above >= -lampWithin && !(cold && above > lampWithin)) return;
    const when = cold ? `after ${soaked.soaked.toFixed(0)} s in it without power` : 'in it';
    this.#doubt ??= `its air reads ${wanted.celsius} °C, but the lamp says that it has ${celsius.toFixed(1)} °C ${when} (${lampWithin} K allowed): the door is open, the lamp stands elsewhere or was soaked too briefly, or its own thermometer is wrong`;
  }

  #mustBeSound(): void {
    if (this.#doubt === null) return;
    const { chamber } = this.#parts.wanted;
    forgetSoak(chamber);
    throw airError(chamber.name, this.#doubt);
  }

  async #poll(): Promise<void> {
    const { clock } = this.#parts;
    for (;;) {
      const rested = await clock.waitUntil(clock.now() + pace, this.#stop.signal).then(
        () => true,
        () => false,
      );
      if (!rested || this.#stop.signal.aborted) return;
      // One that does not come is missed by the last one, which has to.
      await this.#read().catch(() => {});
    }
  }

  #now(): number {
    return this.#parts.clock.now() - this.#zero;
  }

  async #read(): Promise<void> {
    const { call, pieces } = this.#parts;
    const [wanted, departed] = [this.#wanted, this.#moving];
    const { doubt, there, ...reading } = await readAir(wanted, call);
    const isMoving = departed || this.#moving;
    const { celsius, probe } = reading;
    const at = this.#now();
    this.#readings.push({ at, celsius, ...(probe !== undefined && { probe }) });
    if (this.#begun) pieces?.bench({ instrument: wanted.chamber.name, ...reading, at });
    // Set points follow one another on the way.
    const { setPoint = wanted.celsius } = reading;
    const complaint = isMoving ? chamberDoubt(reading, { celsius: setPoint }) : doubt;
    if (complaint !== null) this.#doubt ??= `${complaint} (at ${at.toFixed(1)} s)`;
    else if (!there && !isMoving)
      this.#doubt ??= `its air had ${airWords(reading)} at ${at.toFixed(1)} s, where ${wanted.celsius} °C ± ${wanted.within} K were asked for`;
  }
}
