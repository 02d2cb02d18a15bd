import { BenchError } from '../../../harness/bench/errors.ts';
import type { Call, Identity } from '../../../harness/bench/ports.ts';
import type { Rig, RigInstrument } from '../../../harness/bench/rig.ts';
import type { InstrumentClock } from '../clock/instrument-clock.ts';
import type { Plant } from '../plant.ts';
import type { PlantSettings } from '../plant-driver.ts';

/** What every simulated instrument is made of. */
export interface InstrumentParts<Settings extends PlantSettings = PlantSettings> {
  readonly plant: Plant;
  readonly clock: InstrumentClock;
  readonly rig: Rig;
  readonly instrument: RigInstrument<Settings>;
  /** Of the condition's noise, and of the lamp and rig of the whole run. */
  readonly seed: number;
  readonly lampSeed: number;
}

/** What the simulated instruments have in common: a name, an identity, closing. */
export class PlantInstrument<Settings extends PlantSettings> {
  readonly driver = 'plant';
  readonly name: string;
  protected readonly parts: InstrumentParts<Settings>;
  private readonly closing = new AbortController();

  constructor(parts: InstrumentParts<Settings>) {
    this.parts = parts;
    this.name = parts.instrument.name;
  }

  /** The rig file's own expectation where it states one: a simulated instrument is whoever it should be. */
  async identify(call: Call): Promise<Identity> {
    this.open(call);
    const { identity } = this.parts.instrument;
    const who = {
      maker: identity.maker ?? 'Evenfall',
      model: identity.model ?? `simulated ${this.name}`,
      serial: identity.serial ?? '0',
      firmware: identity.firmware ?? '0',
    };
    return { ...who, raw: `${who.maker}, ${who.model}, ${who.serial}, ${who.firmware}` };
  }

  close(): Promise<void> {
    // With a reason: an exception with its stack is dear, and every condition closes its bench.
    this.closing.abort('closed');
    return Promise.resolve();
  }

  /** Throws unless the instrument is open and the call still wanted. */
  protected open({ signal }: Pick<Call, 'signal'>): void {
    if (this.closing.signal.aborted) throw this.closed();
    if (signal.aborted) throw this.error('cancelled', 'the call was cancelled before it began');
  }

  /** Waits on the clock; `passive` where only the end of a record is awaited. */
  protected async until(instant: number, signal: AbortSignal, passive = false): Promise<void> {
    const both = AbortSignal.any([signal, this.closing.signal]);
    const { clock } = this.parts;
    try {
      await (passive ? clock.reach(instant, both) : clock.waitUntil(instant, both));
    } catch (error) {
      if (this.closing.signal.aborted) throw this.closed();
      if (signal.aborted) throw this.error('cancelled', 'the call was cancelled');
      throw error;
    }
  }

  protected error(kind: BenchError['kind'], why: string): BenchError {
    return new BenchError(kind, this.name, `simulated instrument ${this.name}: ${why}`);
  }

  private closed(): BenchError {
    return this.error('closed', 'it was closed; open the bench again');
  }
}
