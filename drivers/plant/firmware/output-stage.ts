import type { Fades } from './fades.ts';
import type { LampHardware, ModulatorSetup } from './firmware.ts';
import { type FirmwareTraits, healthyFirmware } from './traits.ts';

/** Above this code half a step is less than 0.05 % of the light, and rounding does. */
const ditherBelow = 1024;
/** No tone of the dither lies below this, Hz: the fraction is cut so that its pattern repeats faster. */
const slowestDither = 125;

/**
 * Brightness 0..1 to modulator codes 0..2^bits. Near the bottom a code is a large step (at 0.1 % and 16 bit the code
 * is 65.5), so neighbouring codes take turns by error feedback, in a pattern of 2^n ticks that is too fast to see.
 */
export class OutputStage {
  readonly #hardware: LampHardware;
  readonly #traits: FirmwareTraits;
  readonly #full: number;
  /** Steps of the fraction, a power of two. */
  readonly #steps: number;
  readonly #fractionBits: number;
  readonly #carry: Int32Array;
  readonly #sent: Float64Array;
  readonly #previous: Float64Array;
  readonly #extra: Uint8Array;
  /** Brightness goes to the modulator as it is. */
  readonly #healthy: boolean;
  readonly #feedback: boolean;

  constructor(hardware: LampHardware, setup: ModulatorSetup, traits: FirmwareTraits) {
    this.#hardware = hardware;
    this.#traits = traits;
    this.#healthy = traits.output === healthyFirmware.output;
    this.#feedback = traits.dither === 'error-feedback';
    this.#full = 2 ** setup.bits;
    const rate = 1 / hardware.tickPeriod;
    this.#fractionBits = Math.max(0, Math.floor(Math.log2(rate / slowestDither) + 1e-9));
    this.#steps = 2 ** this.#fractionBits;
    // Channels start their patterns apart, so that their steps do not add up in the mixed light.
    this.#carry = Int32Array.from({ length: hardware.channels }, (_, channel) =>
      Math.floor((channel * this.#steps) / hardware.channels),
    );
    this.#sent = new Float64Array(hardware.channels).fill(-1);
    this.#previous = new Float64Array(hardware.channels);
    this.#extra = new Uint8Array(hardware.channels);
  }

  /** Sends a channel's brightness on its way `fades`; true when the same call a tick later would send the same. */
  send(channel: number, brightness: number, tick: number, fades: Fades): boolean {
    const wanted = this.#healthy ? brightness : this.#shaped(channel, brightness, tick, fades);
    const code = Math.max(0, Math.min(this.#full, wanted * this.#full));
    const dithered = this.#feedback && code < ditherBelow;
    const steps = dithered ? Math.round(code * this.#steps) | 0 : 0;
    const whole = dithered
      ? this.#dithered(channel, steps, tick)
      : Math.max(0, Math.min(this.#full, this.#traits.round(code)));
    if (whole !== this.#sent[channel]) {
      this.#hardware.setDrive(channel, whole);
      this.#sent[channel] = whole;
    }
    return (steps & (this.#steps - 1)) === 0 && this.#healthy;
  }

  #shaped(channel: number, brightness: number, tick: number, fades: Fades): number {
    const shaped = this.#traits.output(brightness, {
      channel,
      tick,
      tickPeriod: this.#hardware.tickPeriod,
      previous: this.#previous[channel]!,
      fading: fades.isMoving(channel),
      target: fades.target[channel]!,
      origin: fades.origin[channel]!,
    });
    this.#previous[channel] = shaped;
    return shaped;
  }

  #dithered(channel: number, steps: number, tick: number): number {
    const fraction = steps & (this.#steps - 1);
    if (fraction === 0) this.#extra[channel] = 0;
    else if (tick % this.#traits.ditherTicks === 0) {
      const sum = this.#carry[channel]! + fraction;
      this.#extra[channel] = sum >= this.#steps ? 1 : 0;
      this.#carry[channel] = sum & (this.#steps - 1);
    }
    return (steps >> this.#fractionBits) + this.#extra[channel]!;
  }
}
