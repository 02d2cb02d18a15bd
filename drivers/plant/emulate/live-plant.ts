import { BenchError } from '../../../harness/bench/errors.ts';
import type { Lamp } from '../../../harness/bench/lamp.ts';
import { connectInputs } from '../analogue-inputs.ts';
import { LiveClock } from '../clock/live-clock.ts';
import type { Firmware } from '../firmware/firmware.ts';
import type { LampSide } from '../lamp-side.ts';
import type { PlantModel } from '../model.ts';
import type { Plant } from '../plant.ts';
import { firmwareOf, type PlantBenchOptions, plantModel } from '../plant-bench.ts';
import { Simulation } from '../simulation.ts';

/** ms from look to look at the wall clock: a reply of the lamp is at most this much late. */
const beat = 4;

export interface LivePlantOptions extends PlantBenchOptions {
  /** Seconds of the lamp for each second of the wall clock. */
  readonly speed: number;
  /** Each power-on finds a lamp as from the factory; else its memory survives. */
  readonly factoryFresh: boolean;
  /** Told once when the firmware breaks down; the lamp stays dark until its power is switched. */
  brokeDown(error: Error): void;
}

/**
 * A simulated lamp that follows the wall clock. It stands for one lamp for as long as it lives; every power-on while
 * no record is under way finds it cooled down.
 */
export class LivePlant implements Plant {
  readonly lamp: Lamp;
  readonly model: PlantModel;
  readonly clock: LiveClock;
  /** The lamp's side of its links. */
  readonly side: LampSide;
  simulation: Simulation;
  volts = 0;
  /** The output of the supply. */
  on = false;
  /** A relay in the supply lets it through. */
  closed = true;
  readonly #options: LivePlantOptions;
  readonly #firmware: Firmware;
  #memory = blankMemory();
  readonly #listeners: Parameters<LampSide['listen']>[0][] = [];
  readonly #renewed: (() => void)[] = [];
  readonly #started = performance.now();
  readonly #timer: NodeJS.Timeout;
  #chain: Promise<void> = Promise.resolve();
  #broken = false;

  constructor(options: LivePlantOptions) {
    this.#options = options;
    this.lamp = options.lamp;
    this.model = plantModel(options);
    this.#firmware = firmwareOf(options, this.model);
    this.simulation = this.#newSimulation();
    this.clock = new LiveClock(() => this.simulation);
    this.side = this.#lampSide();
    this.#timer = setInterval(() => void this.catchUp(), beat);
  }

  /** Brings the lamp to the present. */
  catchUp(): Promise<void> {
    return this.#queue(() => this.#advance());
  }

  /** V or V rms at the terminals, while the output is on. */
  async setSource(volts: number): Promise<void> {
    this.volts = volts;
    await this.#queue(async () => {
      await this.#advance();
      this.simulation.setSource(volts);
    });
  }

  setPower(on: boolean): Promise<void> {
    return this.#switch(() => {
      this.on = on;
    });
  }

  /** The contacts of the relay between supply and lamp. */
  setContact(closed: boolean): Promise<void> {
    return this.#switch(() => {
      this.closed = closed;
    });
  }

  /** Air about the lamp, °C. */
  async setAmbient(celsius: number): Promise<void> {
    await this.#queue(async () => {
      await this.#advance();
      this.simulation.setAmbient(celsius);
    });
  }

  #switch(act: () => void): Promise<void> {
    return this.#queue(async () => {
      await this.#advance();
      const before = this.on && this.closed;
      act();
      const now = this.on && this.closed;
      if (now && !before && this.clock.openRecords === 0) await this.#renew();
      if (now) this.#broken = false;
      this.simulation.setPower(now);
    });
  }

  /** Called whenever the power-on began a new story of the lamp. */
  whenRenewed(act: () => void): void {
    this.#renewed.push(act);
  }

  close(): void {
    clearInterval(this.#timer);
    this.clock.end(new BenchError('closed', 'plant', 'the emulated lamp was closed'));
    this.#firmware.dispose();
  }

  #queue(act: () => Promise<void>): Promise<void> {
    const done = this.#chain.then(act);
    this.#chain = done.catch(() => {});
    return done;
  }

  async #advance(): Promise<void> {
    const now = ((performance.now() - this.#started) / 1000) * this.#options.speed;
    try {
      await this.simulation.runUntil(now);
    } catch (error) {
      if (!this.#broken) this.#options.brokeDown(error as Error);
      this.#broken = true;
    }
    this.clock.wake();
  }

  /** A lamp that was without power has forgotten everything but its memory, and the history of its light goes with it. */
  async #renew(): Promise<void> {
    const now = this.simulation.now();
    if (this.#options.factoryFresh) this.#memory = blankMemory();
    this.simulation = this.#newSimulation();
    this.#broken = false;
    await this.simulation.runUntil(now);
    this.simulation.setSource(this.volts);
    for (const act of this.#renewed) act();
  }

  #newSimulation(): Simulation {
    const simulation = new Simulation(this.lamp, this.model, this.#firmware, this.#memory);
    connectInputs({ lamp: this.lamp, model: this.model, simulation });
    simulation.listen((link, byte, at) => {
      for (const listener of this.#listeners) listener(link, byte, at);
    });
    return simulation;
  }

  #lampSide(): LampSide {
    return {
      clock: this.clock,
      takesDatagrams: this.#firmware.takesDatagrams ?? false,
      deliver: (at, input, last) => this.simulation.deliver(at, input, last),
      listen: (listener) => this.#listeners.push(listener),
      reset: (at) => this.simulation.reset(at),
      upSince: () => this.simulation.upSince(),
      slotLine: {
        freeAt: Number.NEGATIVE_INFINITY,
        framesUntil: Number.NEGATIVE_INFINITY,
        networkFrames: 0,
      },
    };
  }
}

function blankMemory(): Uint8Array<ArrayBuffer> {
  return new Uint8Array(256).fill(0xff);
}
