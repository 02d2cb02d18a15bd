import type {
  Acquisition,
  Call,
  Digitiser,
  DigitiserCapabilities,
  InputSetup,
  RawCapture,
} from '../../../harness/bench/ports.ts';
import type { Wire } from '../../../harness/bench/rig.ts';
import type { SettingsOf } from '../plant-driver.ts';
import { calibrationError } from '../sensors/calibration-error.ts';
import { NoiseSource } from '../sensors/noise-source.ts';
import { recordInput } from '../sensors/record-input.ts';
import { sourceOf } from '../sensors/sources.ts';
import { channelOf } from './channel-of.ts';
import { type InstrumentParts, PlantInstrument } from './plant-instrument.ts';

/** S/s, and samples per input, where the rig file says nothing. */
const usualRate = 100e6;
const usualMemory = 200e6;
/** s */
const negligible = 1e-6;

type ArmSetup = Parameters<Digitiser['arm']>[0];

/** A digitiser on the simulated lamp: integrates over each sample by default, or looks at instants (`acquisition: point`). */
export class PlantDigitiser extends PlantInstrument<SettingsOf<'digitiser'>> implements Digitiser {
  readonly kind = 'digitiser';
  readonly capabilities: DigitiserCapabilities;
  private records = 0;

  constructor(parts: InstrumentParts<SettingsOf<'digitiser'>>) {
    super(parts);
    const { highestRate, memory, acquisition } = parts.instrument.limits;
    const wires = this.wires();
    this.capabilities = {
      inputs: wires.map(({ input }) => input),
      bits: Math.max(1, ...wires.map(({ bits }) => bits)),
      switches: true,
      highestRate: highestRate ?? usualRate,
      longestRecord: memory ?? usualMemory,
      acquisition: acquisition ?? 'integrating',
    };
  }

  async arm(setup: ArmSetup, call: Call): Promise<Acquisition> {
    this.open(call);
    this.check(setup);
    const started = this.parts.clock.now();
    const record = this.records++;
    const finished = this.over(setup, started, call.signal).then((duration) => {
      const samples = Math.max(0, Math.round(duration * setup.rate));
      return setup.inputs.map((input) => this.take(input, setup.rate, samples, started, record));
    });
    // A record that nobody waits for any more is not an unhandled failure.
    finished.catch(() => {});
    return { started, finished };
  }

  /** Resolves when the record is over, with its length, s. */
  private async over(
    { duration, rate, more }: ArmSetup,
    started: number,
    signal: AbortSignal,
  ): Promise<number> {
    const longest = this.capabilities.longestRecord / rate;
    let length = duration;
    for (;;) {
      await this.until(started + length, signal, true);
      const left = more?.() ?? 0;
      if (!(left > negligible) || length >= longest) return length;
      length = Math.min(length + left, longest);
    }
  }

  private take(
    { input, expectedPeak, of }: InputSetup,
    rate: number,
    samples: number,
    start: number,
    record: number,
  ): RawCapture {
    const { plant, rig, seed, lampSeed } = this.parts;
    const wire = this.wireOf(input);
    const { sensors } = plant.model;
    const source = sourceOf(plant, wire, channelOf(plant.lamp, rig, wire, of));
    if (!source) {
      throw this.error(
        'unsupported',
        `input ${input} is wired to ${wire.signal}, which is not a waveform; wire it to light, a current, a voltage or a pin`,
      );
    }
    const name = `noise/${this.name}/${input}/${record}`;
    return recordInput(plant, source, {
      wire,
      start,
      rate,
      samples,
      expectedPeak,
      point: this.capabilities.acquisition === 'point',
      error: calibrationError(rig, wire, lampSeed, sensors.calibrationSpread),
      noise: { source: new NoiseSource(seed, name), factor: sensors.noise },
    });
  }

  private check({ inputs, rate, duration }: ArmSetup): void {
    const { highestRate, longestRecord } = this.capabilities;
    if (!(rate > 0 && rate <= highestRate)) {
      throw this.error(
        'unsupported',
        `it cannot sample at ${rate} S/s: its highest rate is ${highestRate} S/s; lower the capture's rate`,
      );
    }
    if (!(duration >= 0 && duration * rate <= longestRecord)) {
      throw this.error(
        'unsupported',
        `${duration} s at ${rate} S/s is more than its memory of ${longestRecord} samples; shorten the record or lower the rate`,
      );
    }
    for (const { input } of inputs) this.wireOf(input);
  }

  private wireOf(input: string): Wire {
    const wire = this.wires().find((candidate) => candidate.input === input);
    if (wire) return wire;
    const known = this.capabilities.inputs.join(', ') || 'none';
    throw this.error('unsupported', `it has no wired input ${input}; its inputs are: ${known}`);
  }

  private wires(): Wire[] {
    return this.parts.rig.wiring.filter(({ instrument }) => instrument === this.name);
  }
}
