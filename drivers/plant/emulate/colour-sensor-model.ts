import type { PlantColourSensor } from '../instruments/plant-colour-sensor.ts';
import type { LivePlant } from './live-plant.ts';
import { ScpiError } from './scpi/scpi-error.ts';
import { numberArg, type ScpiCommand, type ScpiModel } from './scpi/scpi-instrument.ts';
import type { TroubleKind, Troubles } from './trouble.ts';

const shortest = 1e-3;
const longest = 10;
/** lx, of the trouble `ambient`; X and Z are as many, as of equal energy. */
const roomLight = 15;
const states = { good: 0, saturated: 1, 'under-range': 2 } as const;

/** The command set of the colour sensor on top of the simulated one. */
export class ColourSensorModel implements ScpiModel {
  readonly identity: string;
  readonly commands: readonly ScpiCommand[];
  readonly #name: string;
  readonly #sensor: PlantColourSensor;
  readonly #live: LivePlant;
  readonly #troubles: Troubles;
  #integration = 0.1;
  #last: string | null = null;

  constructor(
    name: string,
    sensor: PlantColourSensor,
    live: LivePlant,
    troubles: Troubles,
    identity: string,
  ) {
    this.#name = name;
    this.#sensor = sensor;
    this.#live = live;
    this.#troubles = troubles;
    this.identity = identity;
    this.commands = [
      {
        header: 'SENSe:INTegration',
        set: (call) => {
          const seconds = numberArg(call);
          if (!(seconds >= shortest && seconds <= longest)) throw new ScpiError(-222, `${seconds}`);
          this.#integration = seconds;
        },
        ask: () => String(this.#integration),
      },
      { header: 'READ:XYZ', ask: () => this.#read() },
    ];
  }

  reset(): void {
    this.#integration = 0.1;
  }

  async finished(): Promise<void> {}

  async #read(): Promise<string> {
    await this.#live.catchUp();
    const ranging = this.#troubles.strike(this.#name, ['ranging']);
    const signal = new AbortController().signal;
    if (ranging) await this.#live.clock.waitUntil(this.#live.clock.now() + ranging.seconds, signal);
    const call = { signal: new AbortController().signal, deadline: Number.POSITIVE_INFINITY };
    const seen = await this.#sensor.read({ integration: this.#integration }, call);
    const strikes = (kind: TroubleKind) => this.#troubles.strike(this.#name, [kind]) !== null;
    const other = strikes('ambient') ? roomLight : 0;
    const [X, Y] = [seen.X + other, seen.Y + other];
    const Z = strikes('filter-dead') ? 0 : seen.Z + other;
    const shown = strikes('saturated') ? states.saturated : states[other > 0 ? 'good' : seen.state];
    if (strikes('dead')) return `0,0,0,${states.good}`;
    if (strikes('frozen') && this.#last !== null) return this.#last;
    this.#last = [...[X, Y, Z].map((value) => value.toPrecision(9)), shown].join(',');
    return this.#last;
  }
}
