import type { DimmingCurve } from '../../../harness/measure/observation.ts';
import { type FirmwareTraits, healthyFirmware } from './traits.ts';

/**
 * One brightness on its way. A fade is straight in the dimming-curve domain: geometric on a logarithmic curve,
 *   b(t) = b0 (b1 / b0)^(t / T),
 * straight in light on a linear one. An end at 0 counts as min(floor, other end), where the floor is the bottom of the curve, or
 * MIN on DALI: the channel jumps to it and fades from there, or fades to it and goes off at the end. A new order starts from what is present.
 */
export class Fade {
  present = 0;
  target = 0;
  /** The brightness that the running or last fade came from. */
  origin = 0;
  /** It has not arrived. */
  moving = false;
  private readonly channel: number;
  private readonly curve: DimmingCurve;
  private readonly traits: FirmwareTraits;
  private readonly exponential: Exponential;
  /** A healthy fade on a logarithmic curve: an exponential from its start is cheaper at each tick than a power. */
  private readonly geometric: boolean;
  /** s, on the firmware's clock. */
  private start = 0;
  private duration = 0;
  /** Brightness that the running fade starts from on a logarithmic curve, and its growth per second, ln(b1 / b0) / T. */
  private from = 0;
  private growth = 0;
  /** Brightness that a dark end counts as. */
  private floor = 0;

  constructor(
    channel: number,
    curve: DimmingCurve,
    traits: FirmwareTraits,
    exponential = new Exponential(),
  ) {
    this.channel = channel;
    this.curve = curve;
    this.traits = traits;
    this.exponential = exponential;
    this.geometric = curve.kind !== 'linear' && traits.fade === healthyFirmware.fade;
  }

  /** Orders it to `brightness` in `seconds` from `time` on (firmware clock, s); a dark end counts as `floor`. */
  order(brightness: number, seconds: number, time: number, floor = this.curve.bottom): void {
    const { channel, traits } = this;
    const from = traits.retarget(this.present, this.target);
    this.target = brightness;
    this.origin = from;
    this.start = traits.fadeDelay(channel) + time;
    this.duration = traits.fadeTime(seconds, channel);
    this.floor = floor;
    this.from = from > 0 ? from : Math.min(floor, brightness);
    this.growth = Math.log(this.end() / this.from) / this.duration;
    this.moving = true;
  }

  /** Stops where it is. */
  hold(): void {
    this.target = this.present;
    this.moving = false;
  }

  /** Moves to its place at `time`. */
  advance(time: number): void {
    if (!this.moving) return;
    const elapsed = time - this.start;
    if (elapsed < 0) return;
    if (elapsed >= this.duration) {
      this.present = this.target;
      this.moving = false;
    } else this.present = this.between(elapsed);
  }

  private between(elapsed: number): number {
    const { origin, target } = this;
    if (origin === 0 && target === 0) return 0;
    if (this.geometric) return this.from * this.exponential.of(elapsed * this.growth);
    const progress = elapsed / this.duration;
    if (this.curve.kind === 'linear') return origin + (target - origin) * progress;
    return this.traits.fade(this.from, this.end(), progress, this.channel);
  }

  /** Brightness that the running fade goes to before it arrives. */
  private end(): number {
    return this.target > 0 ? this.target : Math.min(this.floor, this.origin);
  }
}

/** The exponential function, which remembers its last value: channels that fade together mostly share the exponent. */
class Exponential {
  private exponent = 0;
  private value = 1;

  of(exponent: number): number {
    if (exponent !== this.exponent) {
      this.exponent = exponent;
      this.value = Math.exp(exponent);
    }
    return this.value;
  }
}

/** The brightnesses of all channels. */
export class Fades {
  /** In the lamp file's order. */
  readonly channels: readonly Fade[];

  constructor(channels: number, curve: DimmingCurve, traits: FirmwareTraits) {
    const shared = new Exponential();
    this.channels = Array.from(
      { length: channels },
      (_, channel) => new Fade(channel, curve, traits, shared),
    );
  }

  get moving(): boolean {
    for (const fade of this.channels) if (fade.moving) return true;
    return false;
  }

  /** Moves every channel to its place at `time`. */
  advance(time: number): void {
    for (const fade of this.channels) fade.advance(time);
  }
}
