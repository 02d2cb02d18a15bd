import type { AdcTraits } from './firmware/adc-traits.ts';
import { positionOf } from './modulator/drive-line.ts';
import type { Plant } from './plant.ts';
import { scatter } from './random.ts';
import { channelCurrent } from './sensors/sources.ts';

/** Inputs as lamp-port.h numbers them; the currents of the channels follow one another. */
const input = { temperature: 0, supply: 1, current: 16 } as const;
/** s for which the sample is taken, up to its instant. Common practice, no source. */
const aperture = 1e-6;
/** Full scale over the highest supply, and over the current of the channel while it is on. Stated in lamp-port.h. */
const supplyScale = 1.5;
const currentScale = 2;

/** Ω at 25 °C, K, and Ω of the pull-up: a thermistor of the usual kind. Stated in lamp-port.h. */
const thermistor = { at25: 10_000, beta: 3950, pullUp: 10_000 };
const kelvin = 273.15;

/** Puts the lamp behind the inputs that its firmware reads. */
export function connectInputs(plant: Plant): void {
  const inputs = new AnalogueInputs(plant, plant.model.adc);
  plant.simulation.onConvert = (input, at) => inputs.read(input, at);
}

/** What the firmware reads of its board with its analogue-to-digital converter. */
class AnalogueInputs {
  private readonly plant: Plant;
  private readonly traits: AdcTraits;
  private readings = 0;

  constructor(plant: Plant, traits: AdcTraits) {
    this.plant = plant;
    this.traits = traits;
  }

  /** Code of an input at `at` s, 0 to 2^bits - 1; 0 of one that is not connected. */
  read(number: number, at: number): number {
    const full = 2 ** this.traits.bits;
    const noise = this.traits.noise > 0 ? this.traits.noise * gaussian(this.readings++) : 0;
    const code = Math.floor(this.part(number, at) * full + noise);
    return Math.min(full - 1, Math.max(0, code));
  }

  /** Part of full scale. */
  private part(number: number, at: number): number {
    const { lamp, simulation } = this.plant;
    if (number === input.temperature) return this.thermistorPart();
    if (number === input.supply)
      return simulation.state.present.source / (supplyScale * lamp.supply.high);
    const channel = number - input.current;
    const own = lamp.channels[channel];
    if (!own) return 0;
    return this.current(channel, at) / (currentScale * own.maxCurrent);
  }

  private thermistorPart(): number {
    const { sensor } = this.plant.model.thermal;
    if (sensor !== 'sound') return sensor === 'open' ? 1 : 0;
    const { at25, beta, pullUp } = thermistor;
    const inverse = 1 / (this.plant.simulation.state.temperature + kelvin) - 1 / (25 + kelvin);
    const ohms = at25 * Math.exp(beta * inverse);
    return ohms / (ohms + pullUp);
  }

  private current(channel: number, at: number): number {
    const end = this.traits.sampling === 'mid-pulse' ? this.midPulse(channel, at) : at;
    const samples = new Float32Array(1);
    channelCurrent(this.plant, channel).fill({ samples, t0: end - aperture, dt: aperture });
    return samples[0] ?? 0;
  }

  private midPulse(channel: number, at: number): number {
    const line = this.plant.simulation.outputs[channel]?.line;
    const span = line?.span;
    if (!line || span?.setup.kind !== 'pwm') return at;
    const now = positionOf(span, at);
    const middle = (period: number): number =>
      period + line.value(line.runAt(span, period)) / span.full / 2;
    const present = Math.floor(now);
    const position = middle(present) <= now ? middle(present) : middle(present - 1);
    return at - (now - position) / span.pace + aperture / 2;
  }
}

/** Box and Muller (1958), of numbers that are the same for the same index. */
function gaussian(index: number): number {
  const radius = Math.sqrt(-2 * Math.log(1 - scatter(2 * index)));
  return radius * Math.cos(2 * Math.PI * scatter(2 * index + 1));
}
