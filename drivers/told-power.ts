import type { Lamp } from '../harness/bench/lamp.ts';
import type { Chamber, Instrument, PowerSwitch, Supply } from '../harness/bench/ports.ts';
import type { Rig } from '../harness/bench/rig.ts';
import type { DriverClock } from './driver-clock.ts';
import type { SendListener } from './sent-log.ts';

interface Told {
  readonly clock: DriverClock;
  readonly log: SendListener;
}

/** The instruments of a rig, of which those that hold the lamp's power and its air tell what they have done. */
export function tellPower(
  instruments: ReadonlyMap<string, Instrument>,
  { rig, lamp }: { readonly rig: Rig; readonly lamp: Lamp },
  told: Told,
): ReadonlyMap<string, Instrument> {
  const power = new LampPower(rig, lamp, told);
  const telling = (name: string, instrument: Instrument): Instrument => {
    if (instrument.kind === 'supply' && name === rig.supply?.instrument)
      return power.supply(instrument);
    if (instrument.kind === 'switch' && name === rig.switch?.instrument)
      return power.switch(instrument);
    return instrument.kind === 'chamber' ? withAir(instrument, told) : instrument;
  };
  return new Map([...instruments].map(([name, one]) => [name, telling(name, one)]));
}

/** What supply and switch leave of the voltage at the lamp. */
class LampPower {
  readonly #told: Told;
  #volts: number;
  #on: boolean;
  #closed: boolean;
  /** V that were told of; null before anything was. */
  #last: number | null = null;

  constructor({ supply, switch: relay }: Rig, { supply: { nominal } }: Lamp, told: Told) {
    this.#told = told;
    // A lamp whose supply the rig does not hold has it.
    this.#volts = supply ? 0 : nominal;
    this.#on = !supply;
    this.#closed = !relay;
  }

  supply(supply: Supply): Supply {
    return overridden(supply, {
      set: async (setup, call) => {
        await supply.set(setup, call);
        this.#volts = setup.volts;
        this.#tell();
      },
      output: async (on, call) => {
        await supply.output(on, call);
        this.#on = on;
        this.#tell();
      },
    });
  }

  switch(relay: PowerSwitch): PowerSwitch {
    return overridden(relay, {
      output: async (on, call) => {
        await relay.output(on, call);
        this.#closed = on;
        this.#tell();
      },
    });
  }

  #tell(): void {
    const volts = this.#on && this.#closed ? this.#volts : 0;
    if (volts === this.#last) return;
    this.#last = volts;
    this.#told.log.sent({ kind: 'supply', at: this.#told.clock.now(), volts });
  }
}

function withAir(chamber: Chamber, { clock, log }: Told): Chamber {
  return overridden(chamber, {
    set: async (setup, call) => {
      await chamber.set(setup, call);
      log.sent({ kind: 'air', at: clock.now(), celsius: setup.celsius });
    },
  });
}

/** The instrument with some of its calls replaced; everything else is its own. */
function overridden<T extends Instrument>(instrument: T, calls: Partial<T>): T {
  return new Proxy(instrument, {
    get(target, key) {
      if (Object.hasOwn(calls, key)) return Reflect.get(calls, key);
      const value: unknown = Reflect.get(target, key, target);
      return typeof value === 'function' ? value.bind(target) : value;
    },
  });
}
