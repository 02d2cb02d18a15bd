import type { Fade } from './fades.ts';
import type { LampHardware } from './firmware.ts';
import type { OutputSetup } from './lamp-settings.ts';
import { type FirmwareTraits, healthyFirmware } from './traits.ts';

/** Above this code half a step is less than 0.05 % of the light, and rounding does. */
const ditherBelow = 1024;
/** No tone of the dither lies below this, Hz: the fraction is cut so that its pattern repeats faster. */
const slowestDither = 125;

/**
 * Brightness 0..1 of one channel to modulator codes 0..2^bits. Near the bottom a code is a large step (at 0.1 % and
 * 16 bit the code is 65.5), so neighbouring codes take turns by error feedback, in a pattern of 2^n ticks that is too
 * fast to see.
 */
export class OutputStage {
  private readonly hardware: LampHardware;
  private readonly traits: FirmwareTraits;
  private readonly channel: number;
  private readonly fade: Fade;
  private readonly full: number;
  private readonly lostDuty: number;
  /** Steps of the fraction, a power of two. */
  private readonly steps: number;
  private readonly fractionBits: number;
  /** Brightness goes to the modulator as it is. */
  private readonly healthy: boolean;
  private readonly feedback: boolean;
  private carry: number;
  private extra = 0;
  private sent = -1;
  /** What the traits made of the brightness at the tick before. */
  private previous = 0;

  constructor(
    hardware: LampHardware,
    setup: OutputSetup,
    traits: FirmwareTraits,
    channel: number,
    fade: Fade,
  ) {
    this.hardware = hardware;
    this.traits = traits;
    this.channel = channel;
    this.fade = fade;
    this.healthy = traits.output === healthyFirmware.output;
    this.feedback = traits.dither === 'error-feedback';
    this.full = 2 ** setup.bits;
    this.lostDuty = setup.lostDuty;
    const rate = 1 / hardware.tickPeriod;
    this.fractionBits = Math.max(0, Math.floor(Math.log2(rate / slowestDither) + 1e-9));
    this.steps = 2 ** this.fractionBits;
    // Channels start their patterns apart, so that their steps do not add up in the mixed light.
    this.carry = Math.floor((channel * this.steps) / hardware.channels);
  }

  /** Sends the channel's brightness on, none where `starting`, and no more than `limit`; true when the same call a tick later would send the same. */
  send(tick: number, starting: boolean, limit: number | null): boolean {
    const { full, traits } = this;
    const brightness = starting
      ? traits.whileStarting(tick * this.hardware.tickPeriod)
      : limited(this.fade.present, limit);
    const wanted = this.healthy ? brightness : this.shaped(brightness, tick);
    const duty = wanted > 0 ? wanted + this.lostDuty : 0;
    const code = Math.max(0, Math.min(full, duty * full));
    const dithered = this.feedback && code < ditherBelow;
    const steps = dithered ? Math.round(code * this.steps) | 0 : 0;
    const whole = dithered
      ? this.dithered(steps, tick)
      : Math.max(0, Math.min(full, traits.round(code)));
    if (whole !== this.sent) {
      this.hardware.setDrive(this.channel, whole);
      this.sent = whole;
    }
    return (steps & (this.steps - 1)) === 0 && this.healthy;
  }

  private shaped(brightness: number, tick: number): number {
    const { moving: fading, target, origin } = this.fade;
    const { channel, previous } = this;
    const { tickPeriod } = this.hardware;
    const temperature = this.hardware.temperature();
    const at = { channel, tick, tickPeriod, previous, fading, temperature, target, origin };
    return (this.previous = this.traits.output(brightness, at));
  }

  private dithered(steps: number, tick: number): number {
    const fraction = steps & (this.steps - 1);
    if (fraction === 0) this.extra = 0;
    else if (tick % this.traits.ditherTicks === 0) {
      const sum = this.carry + fraction;
      this.extra = sum >= this.steps ? 1 : 0;
      this.carry = sum & (this.steps - 1);
    }
    return (steps >> this.fractionBits) + this.extra;
  }
}

function limited(brightness: number, limit: number | null): number {
  return limit === null ? brightness : Math.min(limit, brightness);
}
