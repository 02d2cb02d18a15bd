import type { Call, Camera } from '../../../harness/bench/ports.ts';
import type { CameraFrame } from '../../../harness/measure/observation.ts';
import type { SettingsOf } from '../plant-driver.ts';
import { Random } from '../random.ts';
import { lightSource } from '../sensors/sources.ts';
import { PlantInstrument } from './plant-instrument.ts';

/** Samples of the light within one exposure or line time, at least. */
const finest = 16;
/** Part of its full scale that the gain control puts the brightest row at. */
const wellExposed = 0.6;

/**
 * A rolling-shutter camera: row r sees the light's mean from r * lineTime on for the exposure time (boxcar). Its gain
 * control has settled on the scene; dark level is subtracted and the response is linear.
 */
export class PlantCamera extends PlantInstrument<SettingsOf<'camera'>> implements Camera {
  readonly kind = 'camera';
  private frames = 0;

  async shoot(
    { exposure, frameRate }: { readonly exposure: number; readonly frameRate: number },
    call: Call,
  ): Promise<CameraFrame> {
    this.open(call);
    const { rows, 'line-time': lineTime } = this.parts.instrument.settings;
    if (!(exposure > 0 && frameRate > 0 && exposure <= 1 / frameRate)) {
      throw this.error(
        'unsupported',
        `an exposure of ${exposure} s does not fit into ${frameRate} frames per second; it must be above 0 and at most ${1 / frameRate} s`,
      );
    }
    const start = this.parts.clock.now();
    const number = this.frames++;
    await this.until(start + rows * lineTime + exposure, call.signal);
    return this.take(start, exposure, number);
  }

  private take(at: number, exposure: number, number: number): CameraFrame {
    const { plant, seed, instrument } = this.parts;
    const { rows, 'line-time': lineTime, 'row-noise': rowNoise } = instrument.settings;
    const dt = Math.min(exposure, lineTime * 4) / finest;
    const count = Math.ceil((rows * lineTime + exposure) / dt) + 1;
    const light = new Float32Array(count);
    lightSource(plant, 'Y').fill({ samples: light, t0: at, dt });
    const upTo = integral(light, dt);
    const random = new Random(seed, `camera noise/${this.name}/${number}`);
    const { noise } = plant.model.sensors;
    const means = Float64Array.from({ length: rows }, (_, row) => {
      const from = row * lineTime;
      return (upTo(from + exposure) - upTo(from)) / exposure;
    });
    const brightest = means.reduce((a, b) => Math.max(a, b), 0);
    const gain = brightest > 0 ? wellExposed / brightest : 0;
    const seen = means.map((mean) => mean * gain + noise * rowNoise * random.gaussian());
    return { at, rows: seen, lineTime, exposure, saturated: false };
  }
}

/** The integral of samples from their start up to an instant `t` s later. */
function integral(samples: Float32Array, dt: number): (t: number) => number {
  const sums = new Float64Array(samples.length);
  let sum = 0;
  for (const [k, value] of samples.entries()) {
    sums[k] = sum;
    sum += value;
  }
  return (t) => {
    const k = Math.min(samples.length - 1, Math.floor(t / dt));
    return ((sums[k] ?? 0) + (samples[k] ?? 0) * (t / dt - k)) * dt;
  };
}
