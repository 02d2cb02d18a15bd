import type { DimmingCurve } from '../../../harness/measure/observation.ts';
import { Fade, Fades } from './fades.ts';
import type { FirmwareTraits } from './traits.ts';

/** Dim level and intensities 0..1, by channel number. */
export interface LightTarget {
  readonly level: number;
  readonly intensities: readonly number[];
}

/** Where the inputs meet: dim level x intensity = brightness of each channel, and its way there. */
export class LightControl {
  readonly fades: Fades;
  /** The dim level has a fade of its own, so that queries can tell where it is. It moves when somebody looks. */
  readonly #level: Fade;
  readonly #traits: FirmwareTraits;
  #target: LightTarget;
  #time = 0;
  #orders = 0;
  /** Orders that were received and not yet carried out (a healthy lamp has none). */
  #waiting: {
    readonly at: number;
    readonly to: LightTarget;
    readonly over: number;
    readonly glide: boolean;
  }[] = [];
  #fadeStarted: number | null = null;

  constructor(channels: number, curve: DimmingCurve, traits: FirmwareTraits) {
    this.fades = new Fades(channels, curve, traits);
    this.#level = new Fade(0, curve, traits);
    this.#traits = traits;
    this.#target = { level: 0, intensities: new Array<number>(channels).fill(1) };
  }

  get target(): LightTarget {
    return this.#target;
  }

  /** The dim level at this moment. */
  get level(): number {
    this.#level.advance(this.#time);
    return this.#level.present;
  }

  /** Orders so far, whatever became of them. */
  get orders(): number {
    return this.#orders;
  }

  get moving(): boolean {
    return this.fades.moving || this.#waiting.length > 0;
  }

  /** Seconds since the start of the running fade; null when none runs. */
  get fadingFor(): number | null {
    return this.#fadeStarted === null ? null : this.#time - this.#fadeStarted;
  }

  /**
   * To a target in `over` seconds. `glide`: one of a run of short ways; a channel that goes dark already arrives when it would have,
   * or it would stay at the floor for as long as the run lasts.
   */
  go(to: LightTarget, over: number, glide = false): void {
    const index = this.#orders++;
    if (!this.#traits.obeys(index)) return;
    if (this.#traits.duringFade === 'dropped' && this.moving) return;
    this.#target = to;
    const late = this.#traits.actsAfter(index, this.#waiting.length);
    if (late > 0) this.#waiting.push({ at: this.#time + late, to, over, glide });
    else this.#start(to, over, glide);
  }

  #start(to: LightTarget, over: number, glide: boolean): void {
    this.#level.advance(this.#time);
    this.#level.order(to.level, over, this.#time);
    for (const [channel, fade] of this.fades.channels.entries()) {
      const intensity = to.intensities[channel];
      if (intensity === undefined) continue;
      const brightness = this.#traits.product(to.level, intensity, channel);
      if (glide && brightness === 0 && fade.moving && fade.target === 0) continue;
      fade.order(brightness, over, this.#time);
    }
    this.#fadeStarted = over > 0 ? this.#time : null;
  }

  /** Stops every channel where it is. The mix of the target stays. */
  hold(): void {
    this.#level.advance(this.#time);
    this.#level.hold();
    for (const fade of this.fades.channels) fade.hold();
    this.#target = { level: this.level, intensities: this.#target.intensities };
    this.#fadeStarted = null;
  }

  advance(seconds: number): void {
    this.#time += seconds;
    for (;;) {
      const [first] = this.#waiting;
      if (!first || first.at > this.#time) break;
      this.#waiting.shift();
      this.#start(first.to, first.over, first.glide);
    }
    this.fades.advance(this.#time);
    if (!this.moving) this.#fadeStarted = null;
  }
}
