import type { DimmingCurve } from '../../../harness/measure/observation.ts';
import { type FirmwareTraits, healthyFirmware } from './traits.ts';

/**
 * Brightnesses on their way. A fade is straight in the dimming-curve domain: geometric on a logarithmic curve,
 *   b(t) = b0 (b1 / b0)^(t / T),
 * straight in light on a linear one. An end at 0 counts as min(bottom, other end): the channel jumps to that floor and
 * fades from there, or fades to it and goes off at the end. A new order starts from what is present.
 */
export class Fades {
  readonly present: Float64Array;
  readonly target: Float64Array;
  /** The brightness that the running or last fade came from. */
  readonly origin: Float64Array;
  /** Channels that have not arrived. */
  #moving = 0;
  readonly #start: Float64Array;
  readonly #duration: Float64Array;
  readonly #running: Uint8Array;
  /** Brightness that the running fade starts from on a logarithmic curve, and its growth per second, ln(b1 / b0) / T. */
  readonly #from: Float64Array;
  readonly #growth: Float64Array;
  /** The last exponential asked for. */
  #exponent = 0;
  #factor = 1;
  readonly #curve: DimmingCurve;
  readonly #traits: FirmwareTraits;
  /** A healthy fade on a logarithmic curve: an exponential from its start is cheaper at each tick than a power. */
  readonly #geometric: boolean;

  constructor(channels: number, curve: DimmingCurve, traits: FirmwareTraits) {
    this.present = new Float64Array(channels);
    this.target = new Float64Array(channels);
    this.origin = new Float64Array(channels);
    this.#start = new Float64Array(channels);
    this.#duration = new Float64Array(channels);
    this.#running = new Uint8Array(channels);
    this.#from = new Float64Array(channels);
    this.#growth = new Float64Array(channels);
    this.#curve = curve;
    this.#traits = traits;
    this.#geometric = curve.kind !== 'linear' && traits.fade === healthyFirmware.fade;
  }

  get moving(): boolean {
    return this.#moving > 0;
  }

  isMoving(channel: number): boolean {
    return this.#running[channel] === 1;
  }

  /** Orders a channel to `brightness` in `seconds` from `time` on (firmware clock, s). */
  order(channel: number, brightness: number, seconds: number, time: number): void {
    const from = this.#traits.retarget(this.present[channel]!, this.target[channel]!);
    this.target[channel] = brightness;
    this.origin[channel] = from;
    const start = this.#traits.fadeDelay(channel) + time;
    this.#start[channel] = start;
    this.#duration[channel] = this.#traits.fadeTime(seconds, channel);
    this.#from[channel] = from > 0 ? from : Math.min(this.#curve.bottom, brightness);
    this.#growth[channel] =
      Math.log(this.#end(channel) / this.#from[channel]!) / this.#duration[channel]!;
    if (this.#running[channel] === 0) this.#moving++;
    this.#running[channel] = 1;
  }

  /** Stops a channel where it is. */
  hold(channel: number): void {
    this.target[channel] = this.present[channel]!;
    if (this.#running[channel] === 1) this.#moving--;
    this.#running[channel] = 0;
  }

  /** Moves every channel to its place at `time`. */
  advance(time: number): void {
    for (let channel = 0; channel < this.present.length; channel++) {
      if (this.#running[channel] === 0) continue;
      const elapsed = time - this.#start[channel]!;
      if (elapsed < 0) continue;
      if (elapsed >= this.#duration[channel]!) {
        this.present[channel] = this.target[channel]!;
        this.#running[channel] = 0;
        this.#moving--;
      } else this.present[channel] = this.#between(channel, elapsed);
    }
  }

  #between(channel: number, elapsed: number): number {
    const origin = this.origin[channel]!;
    const target = this.target[channel]!;
    if (origin === 0 && target === 0) return 0;
    if (this.#geometric) return this.#from[channel]! * this.#exp(elapsed * this.#growth[channel]!);
    const progress = elapsed / this.#duration[channel]!;
    if (this.#curve.kind === 'linear') return origin + (target - origin) * progress;
    return this.#traits.fade(this.#from[channel]!, this.#end(channel), progress, channel);
  }

  /** Channels that fade together mostly share the exponent. */
  #exp(exponent: number): number {
    if (exponent !== this.#exponent) {
      this.#exponent = exponent;
      this.#factor = Math.exp(exponent);
    }
    return this.#factor;
  }

  /** Brightness that the running fade goes to before it arrives. */
  #end(channel: number): number {
    const target = this.target[channel]!;
    return target > 0 ? target : Math.min(this.#curve.bottom, this.origin[channel]!);
  }
}
