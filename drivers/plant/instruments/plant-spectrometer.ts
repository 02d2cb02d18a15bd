import type { Call, Spectrometer, Spectrum } from '../../../harness/bench/ports.ts';
import type { Wire } from '../../../harness/bench/rig.ts';
import type { SpectralPower } from '../../../harness/measure/colorimetry/spectral-power.ts';
import { throughSlit } from '../../../harness/measure/colorimetry/spectrum-tristimulus.ts';
import { metamerOf } from '../optics/metamer.ts';
import type { SettingsOf } from '../plant-driver.ts';
import { Random } from '../random.ts';
import { calibrationError } from '../sensors/calibration-error.ts';
import { meanTristimulus } from './mean-tristimulus.ts';
import { PlantInstrument } from './plant-instrument.ts';

const nanometre = 1e-9;
/** Noise of a value over the strongest one at 1 s and 100 lx; it grows as light and time shrink. Invented. */
const noiseShare = 2e-4;
const referenceLight = 100;
/** Multiples of the wire's noise that Y has to reach to be called a reading. */
const leastSignal = 10;

/** An array spectrometer with a shutter: its dark is subtracted. */
export class PlantSpectrometer
  extends PlantInstrument<SettingsOf<'spectrometer'>>
  implements Spectrometer
{
  readonly kind = 'spectrometer';
  private taken = 0;

  async measure({ integration }: { readonly integration: number }, call: Call): Promise<Spectrum> {
    this.open(call);
    if (!(integration > 0))
      throw this.error(
        'unsupported',
        `an integration time of ${integration} s gives no spectrum; use more than 0 s`,
      );
    const start = this.parts.clock.now();
    const number = this.taken++;
    await this.until(start + integration, call.signal);
    return this.take(start, integration, number);
  }

  private take(start: number, integration: number, number: number): Spectrum {
    const { plant, rig, lampSeed, instrument } = this.parts;
    const wire = this.wire();
    const { X, Y, Z } = meanTristimulus({ plant, rig, wire }, start, integration);
    const { calibrationSpread } = plant.model.sensors;
    const { scale } = calibrationError(rig, wire, lampSeed, calibrationSpread);
    const { bandwidth, 'standard-wavelength': standard } = instrument.settings;
    const noiseY = (plant.model.sensors.noise * wire.noise) / Math.sqrt(integration);
    const own = new Random(lampSeed, `wavelengths/${this.name}`);
    const off = calibrationSpread * own.within(standard) * nanometre;
    const seen = this.seen(metamerOf(X, Y, Z), off);
    const weakness = Math.sqrt(referenceLight / Math.max(Y, 1e-9) / integration);
    const values = this.noisy(seen, { scale: 1 + scale, weakness, number });
    const state =
      Y < leastSignal * noiseY ? 'under-range' : Y > wire.fullScale ? 'saturated' : 'good';
    return {
      at: start + integration / 2,
      integration,
      ...this.grid(),
      values,
      state,
      bandwidth: bandwidth * nanometre,
      standardWavelength: standard * nanometre,
    };
  }

  /** What the slit lets through, at wavelengths that are off by the calibration of the instrument. */
  private seen(light: SpectralPower | null, off: number): Float64Array {
    const { from, step } = this.grid();
    const { settings } = this.parts.instrument;
    const count = Math.round((settings.to - settings.from) / settings.step) + 1;
    if (!light) return new Float64Array(count);
    const blurred = throughSlit(light, settings.bandwidth * nanometre);
    return Float64Array.from({ length: count }, (_, index) => {
      const place = (from + index * step + off - blurred.from) / blurred.step;
      const before = Math.floor(place);
      const part = place - before;
      const [low = 0, high = 0] = [blurred.values[before], blurred.values[before + 1]];
      return low + part * (high - low);
    });
  }

  private noisy(
    values: Float64Array,
    { scale, weakness, number }: { scale: number; weakness: number; number: number },
  ): Float64Array {
    const { seed, plant } = this.parts;
    const random = new Random(seed, `spectrum noise/${this.name}/${number}`);
    const strongest = values.reduce((most, value) => Math.max(most, value), 0);
    const noise = plant.model.sensors.noise * noiseShare * strongest * weakness;
    return values.map((value) => value * scale + noise * random.gaussian());
  }

  private grid(): Pick<SpectralPower, 'from' | 'step'> {
    const { from, step } = this.parts.instrument.settings;
    return { from: from * nanometre, step: step * nanometre };
  }

  private wire(): Wire {
    const { wiring } = this.parts.rig;
    const wire =
      wiring.find(({ instrument }) => instrument === this.name) ??
      wiring.find(({ signal }) => signal === 'colour');
    if (wire) return wire;
    throw this.error('unsupported', 'it is not wired; add a line with signal colour to the wiring');
  }
}
